/** A folder of its own for one test, gone afterwards. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'

/** Makes a folder that nobody else uses; whoever makes it removes it. */
export async function makeFolder(prefix = 'cirewatch-test-'): Promise<{ path: string; remove(): Promise<void> }> {
  const path = await mkdtemp(join(tmpdir(), prefix))
  return { path, remove: () => rm(path, { recursive: true, force: true, maxRetries: 3 }) }
}

/** The same inside a test, which removes it by itself when the test is over. */
export async function tempFolder(): Promise<string> {
  const folder = await makeFolder()
  onTestFinished(() => folder.remove())
  return folder.path
}
