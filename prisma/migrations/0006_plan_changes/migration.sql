-- CreateTable
CREATE TABLE "Pin" (
    "stepId" TEXT NOT NULL PRIMARY KEY,
    "stationId" TEXT NOT NULL,
    "startAt" DATETIME NOT NULL,
    "byName" TEXT NOT NULL,
    "at" DATETIME NOT NULL,
    CONSTRAINT "Pin_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Pin_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "PlanChange" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "at" DATETIME NOT NULL,
    "byName" TEXT NOT NULL,
    "words" TEXT NOT NULL,
    "change" JSONB NOT NULL,
    "before" JSONB NOT NULL,
    "undoneAt" DATETIME
);

-- CreateIndex
CREATE INDEX "PlanChange_undoneAt_at_idx" ON "PlanChange"("undoneAt", "at");
