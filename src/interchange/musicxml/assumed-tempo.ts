/** Id of the `sound` of a tempo that nobody gave: it must be said to be played, and is nobody's when it is read again. */
export const ASSUMED_TEMPO = 'assumed-tempo';
