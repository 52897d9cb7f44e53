/** Names the sound that the string model makes. A change of sound needs a new name: rendered strings are kept by it. */
export const MODEL_VERSION = '2';
