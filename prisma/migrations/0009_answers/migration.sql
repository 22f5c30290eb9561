-- AlterTable
ALTER TABLE "Report" ADD COLUMN "answer" TEXT;
ALTER TABLE "Report" ADD COLUMN "caution" TEXT;
