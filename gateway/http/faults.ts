/** Faults as RFC 9457 problem details. A stranger sees our sentence or "internal", never a stack. */
import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest, FastifySchemaValidationError } from 'fastify'
import type { core } from 'zod'
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod'
import { explain, Fault, type FaultCode, faults, type Problem } from '../../shared/contract/index.ts'
import type { Log } from '../log.ts'
import { BlockDamaged } from '../store/sealed/damage.ts'

type ZodIssue = core.$ZodIssue

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

/** The plug-in takes the schema's complaint apart; this puts it together again. */
function issueOf({ keyword, message, instancePath, params }: FastifySchemaValidationError): ZodIssue {
  const steps = instancePath.split('/').filter((step) => step !== '')
  const path = steps.map((step) => (/^\d+$/.test(step) ? Number(step) : step))
  return { ...params, code: keyword, message, path } as unknown as ZodIssue
}

const byStatus: Partial<Record<number, FaultCode>> = { 404: 'not-found', 413: 'too-large', 429: 'too-many' }

function faultOf(error: FastifyError | Fault | BlockDamaged, request: FastifyRequest): Fault | null {
  if (error instanceof Fault) return error
  if (error instanceof BlockDamaged) return new Fault('damaged', error.message)
  if (hasZodFastifySchemaValidationErrors(error)) {
    const place = error.validationContext as 'body' | 'querystring' | 'params' | 'headers' | undefined
    const sent = place === 'querystring' ? request.query : request[place ?? 'body']
    const issues = error.validation.map(issueOf)
    const complaints = explain({ issues }, sent, place === 'body' ? 'The request' : 'The address')
    return new Fault('bad-request', complaints[0]?.sentence, complaints)
  }
  if (error.code === 'FST_ERR_CTP_INVALID_MEDIA_TYPE')
    return new Fault('bad-request', 'Send the body as JSON, with the header Content-Type: application/json.')
  const status = error.statusCode ?? 500
  if (status >= 500) return null
  return new Fault(byStatus[status] ?? 'bad-request', `${error.message.replace(/\.$/, '')}.`)
}

export function tellFaults(app: FastifyInstance, log: Log): void {
  app.setErrorHandler((error: FastifyError | Fault, request, reply) => {
    const fault = faultOf(error, request)
    if (fault === null)
      log.error({ err: error, route: request.routeOptions.url }, 'a request failed inside the gateway')
    send(reply, fault ?? new Fault('internal'))
  })
}

export function notFound(reply: FastifyReply): void {
  send(reply, new Fault('not-found'))
}
