-- AlterTable
ALTER TABLE "Shop" ADD COLUMN "backups" JSONB;
