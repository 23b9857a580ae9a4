/** What keeping asks of the file system: how much room there is, and that what was written is really on the disk. */
import { closeSync, constants, copyFileSync, fsyncSync, openSync, statfsSync, statSync } from 'node:fs'
import { StoreRefusal } from '../../refusal.ts'

/** Bytes that are free for us where this folder lies. */
export type FreeBytes = (folder: string) => number

export const freeBytes: FreeBytes = (folder) => {
  const { bavail, bsize } = statfsSync(folder)
  return bavail * bsize
}

/** Room on the disk where a folder lies. */
export function diskRoom(folder: string): { freeBytes: number; totalBytes: number } {
  const { bavail, blocks, bsize } = statfsSync(folder)
  return { freeBytes: bavail * bsize, totalBytes: blocks * bsize }
}

/** Left free beside a copy. Reason: a gateway that cannot write its log any more because of its own backup would be a poor joke. */
const spareBytes = 32 * 1024 * 1024

/** Throws one sentence where so much would not fit. */
export function mustFit(bytes: number, folder: string, what: string, free: FreeBytes): void {
  const room = free(folder)
  if (room < bytes + spareBytes)
    throw new StoreRefusal(
      `There is no room for ${what} in ${folder}: it needs ${megabytes(bytes + spareBytes)} with what must stay free, and ${megabytes(room)} are free.`,
    )
}

export function megabytes(bytes: number): string {
  return `${Math.ceil(bytes / 1_000_000).toLocaleString('en-GB')} MB`
}

/** Bytes of a file; 0 where there is none. */
export function bytesOf(file: string): number {
  return statSync(file, { throwIfNoEntry: false })?.size ?? 0
}

/** Of a database with the log that belongs to it. */
export function bytesWithLog(file: string): number {
  return bytesOf(file) + bytesOf(`${file}-wal`)
}

export function syncFile(file: string): void {
  sync(file, constants.O_RDWR)
}

/** A name is on the disk when its folder is. Windows knows no such thing and needs none. */
export function syncFolder(folder: string): void {
  if (process.platform !== 'win32') sync(folder, constants.O_RDONLY)
}

function sync(path: string, flags: number): void {
  const handle = openSync(path, flags)
  try {
    fsyncSync(handle)
  } finally {
    closeSync(handle)
  }
}

/** Copies, without copying where the file system can share the bytes, and waits until the disk has it. */
export function copyToDisk(from: string, to: string): void {
  copyFileSync(from, to, constants.COPYFILE_FICLONE)
  syncFile(to)
}
