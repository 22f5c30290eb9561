-- CreateTable
CREATE TABLE "OfferMail" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "offerId" TEXT NOT NULL,
    "to" TEXT NOT NULL,
    "subject" TEXT NOT NULL,
    "text" TEXT NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'sending',
    "answer" TEXT NOT NULL DEFAULT '',
    "at" DATETIME NOT NULL,
    "byName" TEXT NOT NULL,
    "formKey" TEXT NOT NULL,
    CONSTRAINT "OfferMail_offerId_fkey" FOREIGN KEY ("offerId") REFERENCES "Offer" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "MailServer" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT DEFAULT 1,
    "host" TEXT NOT NULL,
    "port" INTEGER NOT NULL,
    "security" TEXT NOT NULL,
    "user" TEXT NOT NULL DEFAULT '',
    "password" TEXT NOT NULL DEFAULT '',
    "from" TEXT NOT NULL,
    "version" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "ApiKey" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "hint" TEXT NOT NULL,
    "hash" TEXT NOT NULL,
    "scopes" JSONB NOT NULL,
    "createdAt" DATETIME NOT NULL,
    "byName" TEXT NOT NULL,
    "lastUsedAt" DATETIME,
    "endedAt" DATETIME,
    "endedBy" TEXT NOT NULL DEFAULT ''
);

-- CreateTable
CREATE TABLE "ApiCall" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "keyId" TEXT NOT NULL,
    "number" TEXT NOT NULL,
    "bodyHash" TEXT NOT NULL,
    "answer" JSONB NOT NULL,
    "orderId" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL,
    CONSTRAINT "ApiCall_keyId_fkey" FOREIGN KEY ("keyId") REFERENCES "ApiKey" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- AlterTable
ALTER TABLE "Shop" ADD COLUMN "publicAddress" TEXT NOT NULL DEFAULT '';

-- CreateIndex
CREATE UNIQUE INDEX "OfferMail_formKey_key" ON "OfferMail"("formKey");

-- CreateIndex
CREATE INDEX "OfferMail_offerId_at_idx" ON "OfferMail"("offerId", "at");

-- CreateIndex
CREATE UNIQUE INDEX "ApiKey_hash_key" ON "ApiKey"("hash");

-- CreateIndex
CREATE UNIQUE INDEX "ApiCall_orderId_key" ON "ApiCall"("orderId");

-- CreateIndex
CREATE UNIQUE INDEX "ApiCall_keyId_number_key" ON "ApiCall"("keyId", "number");
