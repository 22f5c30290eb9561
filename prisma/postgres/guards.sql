-- The guards of prisma/guards.sql in PostgreSQL's words, under the same names: a test holds the two lists together.
-- A trigger's WHEN may not look at other tables here: what does has a function of its own.
CREATE FUNCTION "refuse"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION '%', TG_ARGV[0]; END $$;
-- Whether an instant lies in a month that is closed; where `booked` is given, one that was closed at or after it.
CREATE FUNCTION "in_closed_month"("done" TIMESTAMP, "booked" TIMESTAMP DEFAULT NULL) RETURNS BOOLEAN STABLE LANGUAGE sql AS $$
SELECT EXISTS (SELECT 1 FROM "MonthClose" m WHERE "done" >= m."fromAt" AND "done" < m."untilAt" AND ("booked" IS NULL OR "booked" <= m."closedAt")) $$;
CREATE FUNCTION "order_done_at"("order" TEXT) RETURNS TIMESTAMP STABLE LANGUAGE sql AS $$
SELECT COALESCE(o."handedOverAt", o."endedAt") FROM "Order" o WHERE o."id" = "order" $$;
CREATE FUNCTION "keep_closed_month"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NOT EXISTS (SELECT 1 FROM "MonthReopen" r WHERE r."month" = OLD."month" AND r."closedAt" = OLD."closedAt") THEN RAISE EXCEPTION '%', TG_ARGV[0]; END IF;
  RETURN OLD;
END $$;
CREATE FUNCTION "keep_order_of_closed_month"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF "in_closed_month"(COALESCE(OLD."handedOverAt", OLD."endedAt")) OR "in_closed_month"(COALESCE(NEW."handedOverAt", NEW."endedAt")) THEN RAISE EXCEPTION '%', TG_ARGV[0]; END IF;
  RETURN NEW;
END $$;
CREATE FUNCTION "keep_movements_of_closed_month"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF "in_closed_month"("order_done_at"(NEW."orderId"), NEW."at") THEN RAISE EXCEPTION '%', TG_ARGV[0]; END IF;
  RETURN NEW;
END $$;
CREATE FUNCTION "keep_work_of_closed_month"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF "in_closed_month"("order_done_at"(NEW."orderId"), NEW."toAt") THEN RAISE EXCEPTION '%', TG_ARGV[0]; END IF;
  RETURN NEW;
END $$;
CREATE FUNCTION "next_invoice_number"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW."number" <> COALESCE((SELECT MAX(i."number") + 1 FROM "Invoice" i WHERE i."kind" = NEW."kind"), NEW."number") THEN RAISE EXCEPTION '%', TG_ARGV[0]; END IF;
  RETURN NEW;
END $$;
CREATE FUNCTION "even_out"("order" TEXT) RETURNS void LANGUAGE sql AS $$
UPDATE "Order" SET "unevenMinor" = CASE WHEN "state" IN ('handedOver', 'declined', 'withdrawn') THEN
    (SELECT COALESCE(SUM(p."amountMinor"), 0) FROM "Payment" p WHERE p."orderId" = "Order"."id")
    - CASE "state" WHEN 'handedOver' THEN COALESCE("grossMinor", 0) - "creditMinor" ELSE 0 END ELSE 0 END WHERE "id" = "order" $$;
CREATE FUNCTION "even_out_of_payment"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN PERFORM "even_out"(NEW."orderId"); RETURN NULL; END $$;
CREATE FUNCTION "even_out_of_order"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN PERFORM "even_out"(NEW."id"); RETURN NULL; END $$;
-- Books that are only ever added to: a mistake is taken back by a line of its own.
CREATE TRIGGER "Movement_is_not_edited" BEFORE UPDATE ON "Movement" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('A movement is never edited: take it back by a counter-movement.');
CREATE TRIGGER "Movement_is_not_removed" BEFORE DELETE ON "Movement" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('A movement is never removed: take it back by a counter-movement.');
CREATE TRIGGER "OrderCost_is_not_edited" BEFORE UPDATE ON "OrderCost" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('A cost is never edited: take it back by one with the opposite sign.');
CREATE TRIGGER "OrderCost_is_not_removed" BEFORE DELETE ON "OrderCost" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('A cost is never removed: take it back by one with the opposite sign.');
CREATE TRIGGER "MonthClose_is_not_edited" BEFORE UPDATE ON "MonthClose" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('A closed month never changes.');
CREATE TRIGGER "MonthClose_is_not_lost" BEFORE DELETE ON "MonthClose" FOR EACH ROW
  EXECUTE FUNCTION "keep_closed_month"('A closed month is opened again with a reason that is kept.');
CREATE TRIGGER "MonthReopen_is_not_edited" BEFORE UPDATE ON "MonthReopen" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('The reason for opening a month stays as it was given.');
CREATE TRIGGER "MonthReopen_is_not_removed" BEFORE DELETE ON "MonthReopen" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('The reason for opening a month stays as it was given.');
-- What a closed month is made of: its orders, and what was booked on them until it was closed.
CREATE TRIGGER "Order_of_a_closed_month_stays" BEFORE UPDATE OF "handedOverAt", "endedAt", "netMinor" ON "Order" FOR EACH ROW
  WHEN (OLD."handedOverAt" IS DISTINCT FROM NEW."handedOverAt" OR OLD."endedAt" IS DISTINCT FROM NEW."endedAt" OR OLD."netMinor" IS DISTINCT FROM NEW."netMinor")
  EXECUTE FUNCTION "keep_order_of_closed_month"('A closed month never changes: open it again first.');
CREATE TRIGGER "Closed_month_takes_no_movement" BEFORE INSERT ON "Movement" FOR EACH ROW
  WHEN (NEW."orderId" IS NOT NULL)
  EXECUTE FUNCTION "keep_movements_of_closed_month"('A closed month never changes: book it as of now, as a late entry.');
CREATE TRIGGER "Closed_month_takes_no_work" BEFORE INSERT ON "WorkLog" FOR EACH ROW
  EXECUTE FUNCTION "keep_work_of_closed_month"('A closed month never changes: book it as of now, as a late entry.');
CREATE TRIGGER "Closed_month_takes_no_cost" BEFORE INSERT ON "OrderCost" FOR EACH ROW
  EXECUTE FUNCTION "keep_movements_of_closed_month"('A closed month never changes: book it as of now, as a late entry.');
-- Invoices: word for word, one after the other.
CREATE TRIGGER "Invoice_is_not_edited" BEFORE UPDATE ON "Invoice" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('An invoice is never edited: write a credit note.');
CREATE TRIGGER "Invoice_is_not_removed" BEFORE DELETE ON "Invoice" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('An invoice is never removed: write a credit note.');
CREATE TRIGGER "Invoice_numbers_have_no_gaps" BEFORE INSERT ON "Invoice" FOR EACH ROW
  EXECUTE FUNCTION "next_invoice_number"('The number of an invoice follows the last one.');
CREATE TRIGGER "Payment_is_not_edited" BEFORE UPDATE ON "Payment" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('A payment is never edited: book a refund.');
CREATE TRIGGER "Payment_is_not_removed" BEFORE DELETE ON "Payment" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('A payment is never removed: book a refund.');
CREATE TRIGGER "History_is_not_edited" BEFORE UPDATE ON "History" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('The history is never edited.');
CREATE TRIGGER "History_is_not_removed" BEFORE DELETE ON "History" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('The history is never removed.');
-- What a customer read and agreed to stays word for word; it is agreed once, by one name.
CREATE TRIGGER "Offer_words_are_not_edited" BEFORE UPDATE OF "snapshot", "netMinor", "taxMinor", "grossMinor", "method", "version", "validUntil" ON "Offer" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('An offer is never edited: make a new version.');
CREATE TRIGGER "Offer_is_agreed_once" BEFORE UPDATE OF "agreedAt", "agreedName" ON "Offer" FOR EACH ROW
  WHEN (OLD."agreedAt" IS NOT NULL)
  EXECUTE FUNCTION "refuse"('An offer is agreed once.');
CREATE TRIGGER "Offer_is_not_removed" BEFORE DELETE ON "Offer" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('An offer is never removed: a newer version replaces it.');
-- What came wrong is told as it was.
CREATE TRIGGER "PurchaseTrouble_is_not_edited" BEFORE UPDATE ON "PurchaseTrouble" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('What came wrong stays as it was told: write down another line.');
CREATE TRIGGER "PurchaseTrouble_is_not_removed" BEFORE DELETE ON "PurchaseTrouble" FOR EACH ROW
  EXECUTE FUNCTION "refuse"('What came wrong stays as it was told: write down another line.');
-- What is open on an ended order stands beside it, so that no page adds up years of payments.
CREATE TRIGGER "Payment_evens_out" AFTER INSERT ON "Payment" FOR EACH ROW
  EXECUTE FUNCTION "even_out_of_payment"();
CREATE TRIGGER "Order_evens_out" AFTER UPDATE OF "state", "grossMinor", "creditMinor" ON "Order" FOR EACH ROW
  EXECUTE FUNCTION "even_out_of_order"();
CREATE TRIGGER "Order_comes_even" AFTER INSERT ON "Order" FOR EACH ROW
  WHEN (NEW."state" IN ('handedOver', 'declined', 'withdrawn'))
  EXECUTE FUNCTION "even_out_of_order"();
-- The plan keeps what it has read of a step for as long as its version stands; two who report on one step are told apart by it.
CREATE TRIGGER "JobStep_has_a_version_for_each_change" BEFORE UPDATE OF "job", "position", "title", "stationKind", "stationState", "setupMinutes", "runMinutes", "attended", "pausable", "gapMin", "gapMax", "pieces", "sizes", "recipe", "state", "stationId", "startedAt", "finishedAt", "good", "spoiled" ON "JobStep" FOR EACH ROW
  WHEN (NEW."version" <= OLD."version")
  EXECUTE FUNCTION "refuse"('A change of a step raises its version.');
