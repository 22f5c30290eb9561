-- CreateTable
CREATE TABLE "Frame" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "itemId" TEXT NOT NULL,
    "number" INTEGER NOT NULL,
    "byName" TEXT NOT NULL,
    "addedAt" DATETIME NOT NULL,
    "goneAt" DATETIME,
    CONSTRAINT "Frame_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "FrameUse" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "frameId" TEXT NOT NULL,
    "artworkId" TEXT NOT NULL,
    "design" TEXT NOT NULL,
    "widthMm" REAL NOT NULL,
    "heightMm" REAL NOT NULL,
    "part" INTEGER NOT NULL,
    "orderId" TEXT,
    "keptId" TEXT,
    "takenAt" DATETIME NOT NULL,
    "takenBy" TEXT NOT NULL,
    "burntAt" DATETIME,
    "endedAt" DATETIME,
    "endedBy" TEXT NOT NULL DEFAULT '',
    "outcome" TEXT NOT NULL DEFAULT '',
    "reportId" TEXT,
    "burnReportId" TEXT,
    "endReportId" TEXT,
    CONSTRAINT "FrameUse_frameId_fkey" FOREIGN KEY ("frameId") REFERENCES "Frame" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateIndex
CREATE UNIQUE INDEX "Frame_number_key" ON "Frame"("number");

-- CreateIndex
CREATE INDEX "Frame_itemId_goneAt_idx" ON "Frame"("itemId", "goneAt");

-- CreateIndex
CREATE INDEX "FrameUse_frameId_endedAt_idx" ON "FrameUse"("frameId", "endedAt");

-- CreateIndex
CREATE INDEX "FrameUse_design_endedAt_idx" ON "FrameUse"("design", "endedAt");

-- CreateIndex
CREATE INDEX "FrameUse_orderId_idx" ON "FrameUse"("orderId");

-- CreateIndex
CREATE INDEX "FrameUse_reportId_idx" ON "FrameUse"("reportId");

-- CreateIndex
CREATE INDEX "FrameUse_burnReportId_idx" ON "FrameUse"("burnReportId");

-- CreateIndex
CREATE INDEX "FrameUse_endReportId_idx" ON "FrameUse"("endReportId");
