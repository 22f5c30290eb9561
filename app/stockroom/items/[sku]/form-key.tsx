import { randomUUID } from 'node:crypto'

/** The number that makes a form sent twice count once. */
export const FormKey = () => <input type="hidden" name="formKey" value={randomUUID()} />
