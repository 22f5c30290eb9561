-- DropIndex
DROP INDEX "Invoice_issuedAt_idx";

-- DropIndex
DROP INDEX "JobStep_state_idx";

-- DropIndex
DROP INDEX "Order_endedAt_idx";

-- DropIndex
DROP INDEX "Payment_at_idx";

-- CreateIndex
CREATE INDEX "Invoice_issuedAt_kind_grossMinor_idx" ON "Invoice"("issuedAt", "kind", "grossMinor");

-- CreateIndex
CREATE INDEX "JobStep_state_finishedAt_idx" ON "JobStep"("state", "finishedAt");

-- CreateIndex
CREATE INDEX "Order_method_number_idx" ON "Order"("method", "number");

-- CreateIndex
CREATE INDEX "Order_endedAt_id_idx" ON "Order"("endedAt", "id");

-- CreateIndex
CREATE INDEX "Order_readyAt_promiseAt_idx" ON "Order"("readyAt", "promiseAt");

-- CreateIndex
CREATE INDEX "Payment_at_means_amountMinor_idx" ON "Payment"("at", "means", "amountMinor");
