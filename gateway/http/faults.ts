/** Faults as RFC 9457 problem details. A stranger sees our sentence or "internal", never a stack. */
import type { FastifyError, FastifyInstance, FastifyReply } from 'fastify'
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod'
import { Fault, type FaultCode, faults, type Problem } from '../../shared/contract/index.ts'
import type { Log } from '../log.ts'

export function problemOf(fault: Fault): Problem {
  const { status, title } = faults[fault.code]
  const problem: Problem = { type: `urn:cirewatch:fault:${fault.code}`, title, status, code: fault.code }
  if (fault.detail !== undefined) problem.detail = fault.detail
  if (fault.complaints !== undefined) problem.errors = fault.complaints
  return problem
}

function send(reply: FastifyReply, fault: Fault): void {
  const problem = problemOf(fault)
  if (fault.code === 'token-needed') reply.header('www-authenticate', 'Bearer realm="cirewatch"')
  reply.code(problem.status).type('application/problem+json').serializer(JSON.stringify).send(problem)
}

const byStatus: Partial<Record<number, FaultCode>> = { 404: 'not-found', 413: 'too-large', 429: 'too-many' }

function faultOf(error: FastifyError | Fault): Fault | null {
  if (error instanceof Fault) return error
  if (hasZodFastifySchemaValidationErrors(error)) {
    const complaints = error.validation.map((v) => {
      const path = v.instancePath.replace(/^\//, '').replaceAll('/', '.')
      return { path, sentence: `${path || (error.validationContext ?? 'The request')}: ${v.message ?? 'not valid'}.` }
    })
    return new Fault('bad-request', complaints[0]?.sentence, complaints)
  }
  const status = error.statusCode ?? 500
  if (status >= 500) return null
  return new Fault(byStatus[status] ?? 'bad-request', `${error.message.replace(/\.$/, '')}.`)
}

export function tellFaults(app: FastifyInstance, log: Log): void {
  app.setErrorHandler((error: FastifyError | Fault, request, reply) => {
    const fault = faultOf(error)
    if (fault === null)
      log.error({ err: error, route: request.routeOptions.url }, 'a request failed inside the gateway')
    send(reply, fault ?? new Fault('internal'))
  })
}

export function notFound(reply: FastifyReply): void {
  send(reply, new Fault('not-found'))
}
