-- AlterTable: added in place; from now on the database keeps it as payments come.
ALTER TABLE "Order" ADD COLUMN "unevenMinor" INTEGER NOT NULL DEFAULT 0;
UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END;

-- CreateIndex
CREATE INDEX "Order_state_number_idx" ON "Order"("state", "number");

-- CreateIndex
CREATE INDEX "Order_unevenMinor_idx" ON "Order"("unevenMinor");

-- CreateIndex
CREATE INDEX "Order_title_customerId_state_number_id_idx" ON "Order"("title", "customerId", "state", "number", "id");

-- CreateIndex
CREATE INDEX "Order_agreedAt_handedOverAt_endedAt_id_idx" ON "Order"("agreedAt", "handedOverAt", "endedAt", "id");

-- CreateIndex
CREATE INDEX "JobStep_finishedAt_idx" ON "JobStep"("finishedAt");

-- CreateIndex
CREATE INDEX "Order_promiseAt_number_state_idx" ON "Order"("promiseAt", "number", "state");

-- CreateIndex
CREATE INDEX "Order_grossMinor_number_state_idx" ON "Order"("grossMinor", "number", "state");

-- CreateIndex
CREATE INDEX "History_entity_at_id_idx" ON "History"("entity", "at", "id");

-- What is open on an ended order stands beside it, so that no page adds up years of payments.
CREATE TRIGGER "Payment_evens_out" AFTER INSERT ON "Payment"
BEGIN UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END WHERE "id" = NEW."orderId"; END;
CREATE TRIGGER "Order_evens_out" AFTER UPDATE OF "state", "grossMinor", "creditMinor" ON "Order"
BEGIN UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END WHERE "id" = NEW."id"; END;
CREATE TRIGGER "Order_comes_even" AFTER INSERT ON "Order" WHEN NEW."state" IN ('handedOver', 'declined', 'withdrawn')
BEGIN UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END WHERE "id" = NEW."id"; END;
