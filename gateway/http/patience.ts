/** Requests that take as long as their file is: they are not cut off when others of their length would be. */
import type { Socket } from 'node:net'
import type { FastifyRequest } from 'fastify'

const patient = new WeakSet<Socket>()

/** For a request whose body is read as fast as it can be kept; whoever asks must bound its size. */
export function bePatientWith(request: FastifyRequest): void {
  patient.add(request.raw.socket)
}

export function noMorePatience(request: FastifyRequest): void {
  patient.delete(request.raw.socket)
}

const answers: Record<string, string> = {
  ERR_HTTP_REQUEST_TIMEOUT: '408 Request Timeout',
  HPE_HEADER_OVERFLOW: '431 Request Header Fields Too Large',
}

/** What cannot be understood, or does not come to an end, is told so and cut off. */
export function onClientError(error: NodeJS.ErrnoException, socket: Socket): void {
  if (error.code === 'ERR_HTTP_REQUEST_TIMEOUT' && patient.has(socket)) return
  if (error.code === 'ECONNRESET' || socket.destroyed) return
  if (socket.writable)
    socket.write(
      `HTTP/1.1 ${answers[error.code ?? ''] ?? '400 Bad Request'}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n`,
    )
  socket.destroy(error)
}
