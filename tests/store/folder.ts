/** A folder for one test, taken away when the test is over. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'

export function freshFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'cirewatch-store-'))
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }))
  return folder
}
