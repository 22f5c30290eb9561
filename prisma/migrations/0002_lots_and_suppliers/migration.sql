-- AlterTable
ALTER TABLE "Purchase" ADD COLUMN "sentAt" DATETIME;

-- CreateTable
CREATE TABLE "StockLot" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "itemId" TEXT NOT NULL,
    "lot" TEXT NOT NULL,
    "expiresAt" DATETIME,
    "extendedTo" DATETIME,
    "extendedWhy" TEXT NOT NULL DEFAULT '',
    "extendedBy" TEXT NOT NULL DEFAULT '',
    "firstAt" DATETIME NOT NULL,
    "onHand" INTEGER NOT NULL DEFAULT 0,
    CONSTRAINT "StockLot_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Supplier" (
    "name" TEXT NOT NULL PRIMARY KEY,
    "email" TEXT NOT NULL DEFAULT '',
    "phone" TEXT NOT NULL DEFAULT '',
    "address" TEXT NOT NULL DEFAULT '',
    "note" TEXT NOT NULL DEFAULT '',
    "leastMicro" BIGINT NOT NULL DEFAULT 0,
    "version" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "PurchaseTrouble" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "purchaseId" TEXT NOT NULL,
    "itemId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    "outcome" TEXT NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "at" DATETIME NOT NULL,
    "byName" TEXT NOT NULL,
    CONSTRAINT "PurchaseTrouble_purchaseId_fkey" FOREIGN KEY ("purchaseId") REFERENCES "Purchase" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "PurchaseTrouble_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- AlterTable: added in place, so that a shop with years of movements need not copy its tables.
ALTER TABLE "PurchaseLine" ADD COLUMN "givenUp" INTEGER NOT NULL DEFAULT 0;
ALTER TABLE "StockItem" ADD COLUMN "minOrder" INTEGER NOT NULL DEFAULT 0;
ALTER TABLE "StockItem" ADD COLUMN "breaks" JSONB;

-- CreateIndex
CREATE UNIQUE INDEX "StockLot_itemId_lot_key" ON "StockLot"("itemId", "lot");

-- CreateIndex
CREATE INDEX "PurchaseTrouble_purchaseId_idx" ON "PurchaseTrouble"("purchaseId");

-- CreateIndex
CREATE INDEX "PurchaseTrouble_itemId_idx" ON "PurchaseTrouble"("itemId");

-- What came wrong is told as it was.
CREATE TRIGGER "PurchaseTrouble_is_not_edited" BEFORE UPDATE ON "PurchaseTrouble"
BEGIN SELECT RAISE(ABORT, 'What came wrong stays as it was told: write down another line.'); END;
CREATE TRIGGER "PurchaseTrouble_is_not_removed" BEFORE DELETE ON "PurchaseTrouble"
BEGIN SELECT RAISE(ABORT, 'What came wrong stays as it was told: write down another line.'); END;
