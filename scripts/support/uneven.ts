/** What the triggers of prisma/guards.sql keep as payments come, for rows that were written without them. */
export const EVEN_OUT = `UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END`
