/** Starts work that is going to be killed, in this process. `node mortal.mjs WORK JSON` */
import { fileURLToPath } from 'node:url'
import { runnerImport } from 'vite'

const { module } = await runnerImport(fileURLToPath(new URL('./mortal.ts', import.meta.url)))
module[process.argv[2]](JSON.parse(process.argv[3]))
