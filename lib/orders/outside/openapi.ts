import { z } from 'zod'
import { catalogueAnswer, orderAnswer, orderIn, orderStatus, problemAnswer } from './order-in'

type Json = { [key: string]: unknown }

/** The schemas with their parts, each under its own name (those that name themselves lie among the parts already); references point to where OpenAPI keeps them. */
function schemasOf(all: Record<string, { schema: z.ZodType; io: 'input' | 'output' }>): Json {
  const parts: Json = {}
  for (const [name, { schema, io }] of Object.entries(all)) {
    const {
      $defs,
      $schema: _,
      id: __,
      ...own
    } = z.toJSONSchema(schema, { io, target: 'draft-2020-12' }) as Json
    Object.assign(parts, { [name]: own }, $defs)
  }
  const moved = JSON.stringify(parts).replaceAll('#/$defs/', '#/components/schemas/')
  return JSON.parse(moved, (key, value) =>
    key === 'id' && typeof value === 'string' ? undefined : value,
  ) as Json
}

const json = (name: string) => ({ 'application/json': { schema: { $ref: `#/components/schemas/${name}` } } })
const refused = (description: string) => ({
  description,
  content: { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } },
})
const UNKNOWN = {
  401: refused('No key, or one that opens nothing.'),
  403: refused('The key may not do this.'),
}
const OFTEN = { 429: refused('Too many calls: wait as long as Retry-After says.') }

/** An order that can be sent as it stands, if the shop has such a blank. */
export const EXAMPLE_ORDER: z.input<typeof orderIn> = {
  customer: { name: 'Gull Row Choir', contact: 'Marta Lopes', email: 'marta@choir.example' },
  title: 'Spring concert',
  lines: [
    {
      style: 'T180',
      colour: 'Black',
      sizes: { M: 8, L: 4 },
      prints: [{ placement: 'full-front', widthMm: 305, heightMm: 300, dropMm: 57 }],
    },
  ],
}

/**
 * What programs may ask of the shop, as an OpenAPI 3.1 document. The schemas in it are the very ones that read what is sent.
 * @param shopName stands in its title
 */
export function openApi(shopName: string) {
  return {
    openapi: '3.1.0',
    info: {
      title: `Orders for ${shopName}`,
      version: '1',
      description:
        'Sends orders in as enquiries, which the shop answers with an offer. Lengths are in millimetres, days and times are those of the shop.',
      license: { name: 'MIT', identifier: 'MIT' },
    },
    servers: [{ url: '/' }],
    security: [{ key: [] }],
    paths: {
      '/api/orders': {
        post: {
          operationId: 'sendOrder',
          summary: 'Send an order in',
          description:
            'Needs a key that may send orders in. The order is read by the same rules as the counter’s own form; what is wrong is told with its place, and nothing is written.',
          parameters: [
            {
              name: 'Idempotency-Key',
              in: 'header',
              required: true,
              description:
                'A number of your own for this order, a UUID for instance. Sent again with the same body, after a cut line or at once, it gives the same answer and makes no second order; with another body it is refused.',
              schema: { type: 'string', minLength: 8, maxLength: 128 },
              example: '0b5c4a3e-6f0e-4f6e-9a67-5d7f0f0c9a11',
            },
          ],
          requestBody: {
            required: true,
            content: {
              'application/json': {
                schema: { $ref: '#/components/schemas/OrderIn' },
                example: EXAMPLE_ORDER,
              },
            },
          },
          responses: {
            201: {
              description: 'The order is in. Idempotency-Replayed: true where it was in already.',
              headers: {
                Location: { description: 'Where to ask what became of it.', schema: { type: 'string' } },
              },
              content: json('OrderAnswer'),
            },
            400: refused('No Idempotency-Key, or the body is not JSON.'),
            ...UNKNOWN,
            413: refused('The body is over 512 kB.'),
            415: refused('The body is not marked as JSON.'),
            422: refused(
              'What is wrong with the order, and where; or the Idempotency-Key came with another body before.',
            ),
            ...OFTEN,
          },
        },
      },
      '/api/orders/{number}': {
        get: {
          operationId: 'readOrder',
          summary: 'What became of an order',
          description: 'Needs a key that may ask so. Only orders that came in this way are shown.',
          parameters: [
            { name: 'number', in: 'path', required: true, schema: { type: 'integer', minimum: 1 } },
          ],
          responses: {
            200: { description: 'Its state, and when it is promised.', content: json('OrderStatus') },
            ...UNKNOWN,
            404: refused('No order of this number came in this way.'),
            ...OFTEN,
          },
        },
      },
      '/api/catalogue': {
        get: {
          operationId: 'readCatalogue',
          summary: 'The blanks that can be ordered',
          description: 'Needs a key that may read it.',
          responses: {
            200: { description: 'Each blank with its colours and sizes.', content: json('Catalogue') },
            ...UNKNOWN,
            ...OFTEN,
          },
        },
      },
    },
    components: {
      securitySchemes: {
        key: { type: 'http', scheme: 'bearer', description: 'The key that the shop gave you (RFC 6750).' },
      },
      schemas: schemasOf({
        OrderIn: { schema: orderIn, io: 'input' },
        OrderAnswer: { schema: orderAnswer, io: 'output' },
        OrderStatus: { schema: orderStatus, io: 'output' },
        Catalogue: { schema: catalogueAnswer, io: 'output' },
        Problem: { schema: problemAnswer, io: 'output' },
      }),
    },
  }
}
