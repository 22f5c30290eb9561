/** The number of an order, a purchase or a count from an address: 1 to 999,999,999 as plain digits; null where it is none. */
export const readNumber = (text: string): number | null => (/^[1-9]\d{0,8}$/.test(text) ? Number(text) : null)
