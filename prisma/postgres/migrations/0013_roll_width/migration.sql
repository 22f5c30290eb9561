-- AlterTable
ALTER TABLE "StockItem" ADD COLUMN     "widthMm" INTEGER;
