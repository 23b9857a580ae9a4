/** The store in memory keeps the promises of every store. */
import { memoryStore } from '../../gateway/store/memory.ts'
import { promises } from './promises.ts'

promises('the store in memory', async (options) => memoryStore(options))
