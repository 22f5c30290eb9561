-- CreateTable
CREATE TABLE "Frame" (
    "id" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "number" INTEGER NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "addedAt" TIMESTAMP(3) NOT NULL,
    "goneAt" TIMESTAMP(3),

    CONSTRAINT "Frame_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "FrameUse" (
    "id" TEXT COLLATE "C" NOT NULL,
    "frameId" TEXT COLLATE "C" NOT NULL,
    "artworkId" TEXT COLLATE "C" NOT NULL,
    "design" TEXT COLLATE "C" NOT NULL,
    "widthMm" DOUBLE PRECISION NOT NULL,
    "heightMm" DOUBLE PRECISION NOT NULL,
    "part" INTEGER NOT NULL,
    "orderId" TEXT COLLATE "C",
    "keptId" TEXT COLLATE "C",
    "takenAt" TIMESTAMP(3) NOT NULL,
    "takenBy" TEXT COLLATE "C" NOT NULL,
    "burntAt" TIMESTAMP(3),
    "endedAt" TIMESTAMP(3),
    "endedBy" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "outcome" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "reportId" TEXT COLLATE "C",
    "burnReportId" TEXT COLLATE "C",
    "endReportId" TEXT COLLATE "C",

    CONSTRAINT "FrameUse_pkey" PRIMARY KEY ("id")
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

-- AddForeignKey
ALTER TABLE "Frame" ADD CONSTRAINT "Frame_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "FrameUse" ADD CONSTRAINT "FrameUse_frameId_fkey" FOREIGN KEY ("frameId") REFERENCES "Frame"("id") ON DELETE RESTRICT ON UPDATE CASCADE;
