-- Books that are only ever added to: a mistake is taken back by a line of its own.
CREATE TRIGGER "Movement_is_not_edited" BEFORE UPDATE ON "Movement"
BEGIN SELECT RAISE(ABORT, 'A movement is never edited: take it back by a counter-movement.'); END;
CREATE TRIGGER "Movement_is_not_removed" BEFORE DELETE ON "Movement"
BEGIN SELECT RAISE(ABORT, 'A movement is never removed: take it back by a counter-movement.'); END;
CREATE TRIGGER "OrderCost_is_not_edited" BEFORE UPDATE ON "OrderCost"
BEGIN SELECT RAISE(ABORT, 'A cost is never edited: take it back by one with the opposite sign.'); END;
CREATE TRIGGER "OrderCost_is_not_removed" BEFORE DELETE ON "OrderCost"
BEGIN SELECT RAISE(ABORT, 'A cost is never removed: take it back by one with the opposite sign.'); END;
CREATE TRIGGER "MonthClose_is_not_edited" BEFORE UPDATE ON "MonthClose"
BEGIN SELECT RAISE(ABORT, 'A closed month never changes.'); END;
CREATE TRIGGER "History_is_not_edited" BEFORE UPDATE ON "History"
BEGIN SELECT RAISE(ABORT, 'The history is never edited.'); END;
CREATE TRIGGER "History_is_not_removed" BEFORE DELETE ON "History"
BEGIN SELECT RAISE(ABORT, 'The history is never removed.'); END;
-- What a customer read and agreed to stays word for word; it is agreed once, by one name.
CREATE TRIGGER "Offer_words_are_not_edited" BEFORE UPDATE OF "snapshot", "netMinor", "taxMinor", "grossMinor", "method", "version", "validUntil" ON "Offer"
BEGIN SELECT RAISE(ABORT, 'An offer is never edited: make a new version.'); END;
CREATE TRIGGER "Offer_is_agreed_once" BEFORE UPDATE OF "agreedAt", "agreedName" ON "Offer" WHEN OLD."agreedAt" IS NOT NULL
BEGIN SELECT RAISE(ABORT, 'An offer is agreed once.'); END;
CREATE TRIGGER "Offer_is_not_removed" BEFORE DELETE ON "Offer"
BEGIN SELECT RAISE(ABORT, 'An offer is never removed: a newer version replaces it.'); END;
