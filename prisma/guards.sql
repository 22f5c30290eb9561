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
CREATE TRIGGER "MonthClose_is_not_lost" BEFORE DELETE ON "MonthClose"
WHEN NOT EXISTS (SELECT 1 FROM "MonthReopen" r WHERE r."month" = OLD."month" AND r."closedAt" = OLD."closedAt")
BEGIN SELECT RAISE(ABORT, 'A closed month is opened again with a reason that is kept.'); END;
CREATE TRIGGER "MonthReopen_is_not_edited" BEFORE UPDATE ON "MonthReopen"
BEGIN SELECT RAISE(ABORT, 'The reason for opening a month stays as it was given.'); END;
CREATE TRIGGER "MonthReopen_is_not_removed" BEFORE DELETE ON "MonthReopen"
BEGIN SELECT RAISE(ABORT, 'The reason for opening a month stays as it was given.'); END;
-- What a closed month is made of: its orders, and what was booked on them until it was closed.
CREATE TRIGGER "Order_of_a_closed_month_stays" BEFORE UPDATE OF "handedOverAt", "endedAt", "netMinor" ON "Order"
WHEN (OLD."handedOverAt" IS NOT NEW."handedOverAt" OR OLD."endedAt" IS NOT NEW."endedAt" OR OLD."netMinor" IS NOT NEW."netMinor")
  AND EXISTS (SELECT 1 FROM "MonthClose" m WHERE
    (COALESCE(OLD."handedOverAt", OLD."endedAt") >= m."fromAt" AND COALESCE(OLD."handedOverAt", OLD."endedAt") < m."untilAt")
    OR (COALESCE(NEW."handedOverAt", NEW."endedAt") >= m."fromAt" AND COALESCE(NEW."handedOverAt", NEW."endedAt") < m."untilAt"))
BEGIN SELECT RAISE(ABORT, 'A closed month never changes: open it again first.'); END;
CREATE TRIGGER "Closed_month_takes_no_movement" BEFORE INSERT ON "Movement" WHEN NEW."orderId" IS NOT NULL AND EXISTS (
  SELECT 1 FROM "Order" o JOIN "MonthClose" m ON COALESCE(o."handedOverAt", o."endedAt") >= m."fromAt" AND COALESCE(o."handedOverAt", o."endedAt") < m."untilAt"
  WHERE o."id" = NEW."orderId" AND NEW."at" <= m."closedAt")
BEGIN SELECT RAISE(ABORT, 'A closed month never changes: book it as of now, as a late entry.'); END;
CREATE TRIGGER "Closed_month_takes_no_work" BEFORE INSERT ON "WorkLog" WHEN EXISTS (
  SELECT 1 FROM "Order" o JOIN "MonthClose" m ON COALESCE(o."handedOverAt", o."endedAt") >= m."fromAt" AND COALESCE(o."handedOverAt", o."endedAt") < m."untilAt"
  WHERE o."id" = NEW."orderId" AND NEW."toAt" <= m."closedAt")
BEGIN SELECT RAISE(ABORT, 'A closed month never changes: book it as of now, as a late entry.'); END;
CREATE TRIGGER "Closed_month_takes_no_cost" BEFORE INSERT ON "OrderCost" WHEN EXISTS (
  SELECT 1 FROM "Order" o JOIN "MonthClose" m ON COALESCE(o."handedOverAt", o."endedAt") >= m."fromAt" AND COALESCE(o."handedOverAt", o."endedAt") < m."untilAt"
  WHERE o."id" = NEW."orderId" AND NEW."at" <= m."closedAt")
BEGIN SELECT RAISE(ABORT, 'A closed month never changes: book it as of now, as a late entry.'); END;
-- Invoices: word for word, one after the other.
CREATE TRIGGER "Invoice_is_not_edited" BEFORE UPDATE ON "Invoice"
BEGIN SELECT RAISE(ABORT, 'An invoice is never edited: write a credit note.'); END;
CREATE TRIGGER "Invoice_is_not_removed" BEFORE DELETE ON "Invoice"
BEGIN SELECT RAISE(ABORT, 'An invoice is never removed: write a credit note.'); END;
CREATE TRIGGER "Invoice_numbers_have_no_gaps" BEFORE INSERT ON "Invoice"
WHEN NEW."number" <> COALESCE((SELECT MAX(i."number") + 1 FROM "Invoice" i WHERE i."kind" = NEW."kind"), NEW."number")
BEGIN SELECT RAISE(ABORT, 'The number of an invoice follows the last one.'); END;
CREATE TRIGGER "Payment_is_not_edited" BEFORE UPDATE ON "Payment"
BEGIN SELECT RAISE(ABORT, 'A payment is never edited: book a refund.'); END;
CREATE TRIGGER "Payment_is_not_removed" BEFORE DELETE ON "Payment"
BEGIN SELECT RAISE(ABORT, 'A payment is never removed: book a refund.'); END;
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
-- What came wrong is told as it was.
CREATE TRIGGER "PurchaseTrouble_is_not_edited" BEFORE UPDATE ON "PurchaseTrouble"
BEGIN SELECT RAISE(ABORT, 'What came wrong stays as it was told: write down another line.'); END;
CREATE TRIGGER "PurchaseTrouble_is_not_removed" BEFORE DELETE ON "PurchaseTrouble"
BEGIN SELECT RAISE(ABORT, 'What came wrong stays as it was told: write down another line.'); END;
-- What is open on an ended order stands beside it, so that no page adds up years of payments.
CREATE TRIGGER "Payment_evens_out" AFTER INSERT ON "Payment"
BEGIN UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END WHERE "id" = NEW."orderId"; END;
CREATE TRIGGER "Order_evens_out" AFTER UPDATE OF "state", "grossMinor", "creditMinor" ON "Order"
BEGIN UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END WHERE "id" = NEW."id"; END;
CREATE TRIGGER "Order_comes_even" AFTER INSERT ON "Order" WHEN NEW."state" IN ('handedOver', 'declined', 'withdrawn')
BEGIN UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END WHERE "id" = NEW."id"; END;
-- The plan keeps what it has read of a step for as long as its version stands; two who report on one step are told apart by it.
CREATE TRIGGER "JobStep_has_a_version_for_each_change" BEFORE UPDATE OF "job", "position", "title", "stationKind", "stationState", "setupMinutes", "runMinutes", "attended", "pausable", "gapMin", "gapMax", "pieces", "sizes", "recipe", "state", "stationId", "startedAt", "finishedAt", "good", "spoiled" ON "JobStep"
WHEN NEW."version" <= OLD."version"
BEGIN SELECT RAISE(ABORT, 'A change of a step raises its version.'); END;
