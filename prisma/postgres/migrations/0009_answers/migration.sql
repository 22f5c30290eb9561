-- AlterTable
ALTER TABLE "Report" ADD COLUMN     "answer" TEXT COLLATE "C",
ADD COLUMN     "caution" TEXT COLLATE "C";
