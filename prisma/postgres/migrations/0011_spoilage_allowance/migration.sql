-- AlterTable
ALTER TABLE "Misprint" ADD COLUMN     "fromAllowance" INTEGER NOT NULL DEFAULT 0;

-- AlterTable
ALTER TABLE "StockPromise" ADD COLUMN     "allowance" INTEGER NOT NULL DEFAULT 0;
