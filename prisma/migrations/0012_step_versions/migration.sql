-- The plan keeps what it has read of a step for as long as its version stands; two who report on one step are told apart by it.
CREATE TRIGGER "JobStep_has_a_version_for_each_change" BEFORE UPDATE OF "job", "position", "title", "stationKind", "stationState", "setupMinutes", "runMinutes", "attended", "pausable", "gapMin", "gapMax", "pieces", "sizes", "recipe", "state", "stationId", "startedAt", "finishedAt", "good", "spoiled" ON "JobStep"
WHEN NEW."version" <= OLD."version"
BEGIN SELECT RAISE(ABORT, 'A change of a step raises its version.'); END;
