/** How the dashboard is built: plain files that a strict content policy lets through, nothing inline, nothing from elsewhere. */
import { svelte, vitePreprocess } from '@sveltejs/vite-plugin-svelte'
import { defineConfig } from 'vite'

export default defineConfig({
  root: import.meta.dirname,
  base: '/',
  plugins: [svelte({ preprocess: vitePreprocess({ script: false }), configFile: false })],
  build: {
    outDir: '../build/dashboard',
    emptyOutDir: true,
    target: 'es2022',
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    rolldownOptions: {
      // Schemas of the contract are pure; a screen that only needs its types and names should not carry them.
      treeshake: { moduleSideEffects: (id) => !/[\\/](shared|zod)[\\/]/.test(id) },
    },
  },
})
