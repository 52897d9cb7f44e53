import svelte from 'eslint-plugin-svelte';
import ts from 'typescript-eslint';

export default ts.config(
  { ignores: ['dist/', 'node_modules/', 'coverage/', 'test/browser/shots/'] },
  ...ts.configs.recommended,
  ...svelte.configs.recommended,
  {
    files: ['**/*.svelte', '**/*.svelte.ts'],
    languageOptions: { parserOptions: { parser: ts.parser, extraFileExtensions: ['.svelte'] } },
  },
  {
    rules: {
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      '@typescript-eslint/no-explicit-any': 'error',
      'no-restricted-properties': [
        'error',
        { object: 'Math', property: 'random', message: 'All chance comes from base/random.' },
        { object: 'Date', property: 'now', message: 'Results may not depend on the clock.' },
      ],
    },
  },
  {
    // Synthesis must give the same samples in every engine: no function that engines round differently.
    files: ['src/sound/**/*.ts'],
    rules: {
      'no-restricted-properties': [
        'error',
        ...[
          'random',
          'sin',
          'cos',
          'tan',
          'exp',
          'log',
          'pow',
          'tanh',
          'atan2',
          'cosh',
          'sinh',
          'log2',
          'log10',
        ].map((property) => ({
          object: 'Math',
          property,
          message: 'Engines differ here: use the series in sound/.',
        })),
      ],
      'no-restricted-syntax': [
        'error',
        { selector: "BinaryExpression[operator='**']", message: 'Engines differ in pow.' },
      ],
    },
  },
);
