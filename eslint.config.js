/** Only what needs types to be seen: promises that nobody waits for. Everything else is Biome's. */
import tseslint from 'typescript-eslint'

export default [
  {
    ignores: ['build/**', 'node_modules/**', '**/*.mjs', '**/*.cjs', '**/*.js', '**/*.svelte', '**/*.config.ts'],
  },
  {
    files: ['gateway/**/*.ts', 'shared/**/*.ts', 'simulators/**/*.ts', 'dashboard/**/*.ts', 'tests/**/*.ts'],
    languageOptions: {
      parser: tseslint.parser,
      parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname },
    },
    plugins: { '@typescript-eslint': tseslint.plugin },
    rules: {
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': 'error',
      '@typescript-eslint/await-thenable': 'error',
    },
  },
]
