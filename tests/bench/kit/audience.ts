/** Twenty screens that listen, in a process of their own. They check that no frame is missing, and say so at once. */
import WebSocket from 'ws'
import type { LiveMessage } from '../../../shared/contract/index.ts'

const listeners = 20

process.on('message', ({ url }: { url: string }) => {
  let open = 0
  for (let i = 0; i < listeners; i++) {
    const socket = new WebSocket(url)
    let seq = -1
    socket.on('message', (data) => {
      // One of them reads; the others only receive, as a browser's network thread would.
      if (i > 0) return
      const message = JSON.parse(String(data)) as LiveMessage
      if (message.is === 'frame' && message.after !== seq)
        throw new Error(`A frame is missing between ${seq} and ${message.after}.`)
      seq = message.seq
    })
    socket.on('open', () => {
      if (++open === listeners) process.send?.({ listening: open })
    })
    socket.on('error', (error) => {
      throw error
    })
  }
})
