-- What was ordered before this was noted had gone out when it was written down.
UPDATE "Purchase" SET "sentAt" = "createdAt" WHERE "sentAt" IS NULL AND "state" <> 'draft';
