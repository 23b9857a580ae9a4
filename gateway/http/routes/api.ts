/** What all routes share: the typed server, who acts, and the sizes of listings. */
import type {
  FastifyBaseLogger,
  FastifyInstance,
  RawReplyDefaultExpression,
  RawRequestDefaultExpression,
  RawServerDefault,
} from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { listRowsMax } from '../../../shared/contract/index.ts'

export type Api = FastifyInstance<
  RawServerDefault,
  RawRequestDefaultExpression,
  RawReplyDefaultExpression,
  FastifyBaseLogger,
  ZodTypeProvider
>

/** Who acts. Until roles come it is what the person says. */
export const By = z.string().trim().min(1).max(80).default('somebody')

export const Limit = z.coerce.number().int().min(1).max(listRowsMax).default(200)

/** An instant in a query: epoch milliseconds or ISO 8601 with a zone. */
export const When = z.union(
  [z.coerce.number().int().min(0), z.iso.datetime({ offset: true }).transform((text) => Date.parse(text))],
  'must be an instant, as epoch milliseconds or ISO 8601 with a zone',
)
