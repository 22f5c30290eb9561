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
