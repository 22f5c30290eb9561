-- CreateTable
CREATE TABLE "OrderCost" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT NOT NULL,
    "formKey" TEXT,
    CONSTRAINT "OrderCost_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Invoice" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "kind" TEXT NOT NULL,
    "number" INTEGER NOT NULL,
    "orderId" TEXT NOT NULL,
    "credits" TEXT,
    "lowers" BOOLEAN NOT NULL DEFAULT false,
    "issuedAt" DATETIME NOT NULL,
    "dueAt" DATETIME,
    "netMinor" INTEGER NOT NULL,
    "taxMinor" INTEGER NOT NULL,
    "grossMinor" INTEGER NOT NULL,
    "rateBp" INTEGER NOT NULL,
    "page" JSONB NOT NULL,
    "byName" TEXT NOT NULL,
    "formKey" TEXT,
    CONSTRAINT "Invoice_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "JobStep" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "job" TEXT NOT NULL,
    "position" INTEGER NOT NULL,
    "key" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "stationKind" TEXT NOT NULL,
    "stationState" TEXT,
    "setupMinutes" INTEGER NOT NULL,
    "runMinutes" INTEGER NOT NULL,
    "attended" TEXT NOT NULL,
    "pausable" BOOLEAN NOT NULL,
    "gapMin" INTEGER NOT NULL DEFAULT 0,
    "gapMax" INTEGER,
    "pieces" INTEGER NOT NULL,
    "sizes" JSONB NOT NULL,
    "recipe" JSONB NOT NULL,
    "printId" TEXT,
    "remakeOf" TEXT,
    "state" TEXT NOT NULL DEFAULT 'waiting',
    "stationId" TEXT,
    "startedAt" DATETIME,
    "finishedAt" DATETIME,
    "good" INTEGER NOT NULL DEFAULT 0,
    "spoiled" INTEGER NOT NULL DEFAULT 0,
    "version" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "JobStep_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "JobStep_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "PlannedRun" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "stepId" TEXT NOT NULL,
    "stationId" TEXT NOT NULL,
    "crewId" TEXT,
    "startAt" DATETIME NOT NULL,
    "workAt" DATETIME NOT NULL,
    "endAt" DATETIME NOT NULL,
    "changeover" INTEGER NOT NULL,
    "setup" INTEGER NOT NULL,
    "run" INTEGER NOT NULL,
    CONSTRAINT "PlannedRun_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "PlannedRun_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "PlannedRun_crewId_fkey" FOREIGN KEY ("crewId") REFERENCES "CrewMember" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "PlanRecord" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT DEFAULT 1,
    "madeAt" DATETIME NOT NULL,
    "reason" TEXT NOT NULL,
    "objective" JSONB NOT NULL,
    "bound" JSONB NOT NULL,
    "unplaced" JSONB NOT NULL,
    "late" JSONB NOT NULL,
    "version" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "Report" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "stepId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "good" INTEGER NOT NULL DEFAULT 0,
    "spoiled" INTEGER NOT NULL DEFAULT 0,
    "note" TEXT NOT NULL DEFAULT '',
    "sizes" JSONB,
    "byName" TEXT NOT NULL,
    "at" DATETIME NOT NULL,
    "cameAt" DATETIME,
    "undoes" TEXT,
    "formKey" TEXT,
    CONSTRAINT "Report_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "WorkLog" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "stepId" TEXT NOT NULL,
    "orderId" TEXT NOT NULL,
    "stationId" TEXT,
    "crewId" TEXT,
    "byName" TEXT NOT NULL,
    "fromAt" DATETIME NOT NULL,
    "toAt" DATETIME NOT NULL,
    "labourSeconds" INTEGER NOT NULL,
    "machineSeconds" INTEGER NOT NULL,
    "labourMinor" INTEGER NOT NULL,
    "machineMinor" INTEGER NOT NULL,
    "pieces" INTEGER NOT NULL DEFAULT 0,
    "reportId" TEXT,
    "counters" TEXT,
    CONSTRAINT "WorkLog_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "WorkLog_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "WorkLog_crewId_fkey" FOREIGN KEY ("crewId") REFERENCES "CrewMember" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Misprint" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "stepId" TEXT NOT NULL,
    "itemId" TEXT NOT NULL,
    "size" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    "reason" TEXT NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "remake" TEXT,
    "later" JSONB NOT NULL DEFAULT [],
    "photo" TEXT,
    "reportId" TEXT,
    "undone" BOOLEAN NOT NULL DEFAULT false,
    "byName" TEXT NOT NULL,
    "at" DATETIME NOT NULL,
    CONSTRAINT "Misprint_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Misprint_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Misprint_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "MonthClose" (
    "month" TEXT NOT NULL PRIMARY KEY,
    "fromAt" DATETIME NOT NULL,
    "untilAt" DATETIME NOT NULL,
    "closedAt" DATETIME NOT NULL,
    "byName" TEXT NOT NULL,
    "totals" JSONB NOT NULL
);

-- CreateTable
CREATE TABLE "MonthReopen" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "month" TEXT NOT NULL,
    "closedAt" DATETIME NOT NULL,
    "closedBy" TEXT NOT NULL,
    "totals" JSONB NOT NULL,
    "reopenedAt" DATETIME NOT NULL,
    "byName" TEXT NOT NULL,
    "why" TEXT NOT NULL
);

-- CreateTable
CREATE TABLE "Customer" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "contact" TEXT NOT NULL DEFAULT '',
    "email" TEXT NOT NULL DEFAULT '',
    "phone" TEXT NOT NULL DEFAULT '',
    "address" TEXT NOT NULL DEFAULT '',
    "note" TEXT NOT NULL DEFAULT '',
    "taxExempt" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP
);

-- CreateTable
CREATE TABLE "Order" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "number" INTEGER NOT NULL,
    "customerId" TEXT NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'enquiry',
    "title" TEXT NOT NULL DEFAULT '',
    "note" TEXT NOT NULL DEFAULT '',
    "asked" TEXT NOT NULL DEFAULT '',
    "promiseAt" DATETIME,
    "promiseHard" BOOLEAN NOT NULL DEFAULT false,
    "rush" BOOLEAN NOT NULL DEFAULT false,
    "method" TEXT,
    "way" TEXT,
    "enquiredAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "offeredAt" DATETIME,
    "agreedAt" DATETIME,
    "agreedBy" TEXT,
    "readyAt" DATETIME,
    "handedOverAt" DATETIME,
    "endedAt" DATETIME,
    "endedWhy" TEXT NOT NULL DEFAULT '',
    "agreed" JSONB,
    "netMinor" INTEGER,
    "taxMinor" INTEGER,
    "grossMinor" INTEGER,
    "depositMinor" INTEGER,
    "creditMinor" INTEGER NOT NULL DEFAULT 0,
    "formKey" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Order_customerId_fkey" FOREIGN KEY ("customerId") REFERENCES "Customer" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "OrderLine" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "position" INTEGER NOT NULL,
    "styleId" TEXT NOT NULL,
    "colour" TEXT NOT NULL,
    CONSTRAINT "OrderLine_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "OrderLine_styleId_fkey" FOREIGN KEY ("styleId") REFERENCES "BlankStyle" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "OrderLineSize" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "lineId" TEXT NOT NULL,
    "itemId" TEXT NOT NULL,
    "size" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    CONSTRAINT "OrderLineSize_lineId_fkey" FOREIGN KEY ("lineId") REFERENCES "OrderLine" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "OrderLineSize_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Print" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "lineId" TEXT NOT NULL,
    "position" INTEGER NOT NULL,
    "placement" TEXT NOT NULL,
    "widthMm" REAL NOT NULL,
    "heightMm" REAL NOT NULL,
    "dropMm" REAL NOT NULL,
    "offsetMm" REAL NOT NULL DEFAULT 0,
    "bySize" JSONB,
    "layers" JSONB,
    "artworkId" TEXT,
    CONSTRAINT "Print_lineId_fkey" FOREIGN KEY ("lineId") REFERENCES "OrderLine" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Print_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Artwork" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "sha256" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "mime" TEXT NOT NULL,
    "bytes" INTEGER NOT NULL,
    "widthPx" INTEGER NOT NULL,
    "heightPx" INTEGER NOT NULL,
    "alpha" BOOLEAN NOT NULL,
    "declaredPpi" REAL,
    "likeness" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT NOT NULL
);

-- CreateTable
CREATE TABLE "Clearance" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "artworkId" TEXT NOT NULL,
    "basis" TEXT NOT NULL,
    "evidence" TEXT NOT NULL DEFAULT '',
    "byName" TEXT NOT NULL,
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    CONSTRAINT "Clearance_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ArtCheck" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "artworkId" TEXT NOT NULL,
    "key" TEXT NOT NULL,
    "result" JSONB NOT NULL,
    "measuredAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    CONSTRAINT "ArtCheck_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ArtVersion" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "artworkId" TEXT NOT NULL,
    "cloth" TEXT NOT NULL,
    "settings" JSONB,
    "sha256" TEXT NOT NULL,
    "byName" TEXT NOT NULL,
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    CONSTRAINT "ArtVersion_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Offer" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "token" TEXT NOT NULL,
    "method" TEXT NOT NULL,
    "snapshot" JSONB NOT NULL,
    "netMinor" INTEGER NOT NULL,
    "taxMinor" INTEGER NOT NULL,
    "grossMinor" INTEGER NOT NULL,
    "costMinor" INTEGER NOT NULL,
    "validUntil" DATETIME NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT NOT NULL,
    "openedAt" DATETIME,
    "agreedAt" DATETIME,
    "agreedName" TEXT,
    "declinedAt" DATETIME,
    "endedAt" DATETIME,
    CONSTRAINT "Offer_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Payment" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "means" TEXT NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT NOT NULL,
    "formKey" TEXT,
    CONSTRAINT "Payment_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Person" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "username" TEXT,
    "displayUsername" TEXT,
    "email" TEXT NOT NULL,
    "emailVerified" BOOLEAN NOT NULL DEFAULT false,
    "image" TEXT,
    "role" TEXT NOT NULL DEFAULT 'press',
    "active" BOOLEAN NOT NULL DEFAULT true,
    "twoFactorEnabled" BOOLEAN NOT NULL DEFAULT false,
    "pin" TEXT,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "TwoFactor" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "secret" TEXT NOT NULL,
    "backupCodes" TEXT NOT NULL,
    "userId" TEXT NOT NULL,
    "verified" BOOLEAN NOT NULL DEFAULT true,
    "failedVerificationCount" INTEGER NOT NULL DEFAULT 0,
    "lockedUntil" DATETIME,
    CONSTRAINT "TwoFactor_userId_fkey" FOREIGN KEY ("userId") REFERENCES "Person" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Tablet" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "tokenHash" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "lastUsedAt" DATETIME,
    "endedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Session" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "token" TEXT NOT NULL,
    "expiresAt" DATETIME NOT NULL,
    "ipAddress" TEXT,
    "userAgent" TEXT,
    "tablet" BOOLEAN NOT NULL DEFAULT false,
    "userId" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" DATETIME NOT NULL,
    CONSTRAINT "Session_userId_fkey" FOREIGN KEY ("userId") REFERENCES "Person" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Account" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "accountId" TEXT NOT NULL,
    "providerId" TEXT NOT NULL,
    "userId" TEXT NOT NULL,
    "accessToken" TEXT,
    "refreshToken" TEXT,
    "idToken" TEXT,
    "accessTokenExpiresAt" DATETIME,
    "refreshTokenExpiresAt" DATETIME,
    "scope" TEXT,
    "password" TEXT,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" DATETIME NOT NULL,
    CONSTRAINT "Account_userId_fkey" FOREIGN KEY ("userId") REFERENCES "Person" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Verification" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "identifier" TEXT NOT NULL,
    "value" TEXT NOT NULL,
    "expiresAt" DATETIME NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "Shop" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT DEFAULT 1,
    "name" TEXT NOT NULL,
    "currency" TEXT NOT NULL,
    "timeZone" TEXT NOT NULL,
    "measures" TEXT NOT NULL,
    "paper" TEXT NOT NULL DEFAULT 'a4',
    "demo" BOOLEAN NOT NULL DEFAULT false,
    "valuation" TEXT NOT NULL DEFAULT 'fifo',
    "firstPiece" BOOLEAN NOT NULL DEFAULT false,
    "belowZero" BOOLEAN NOT NULL DEFAULT true,
    "invoicing" JSONB,
    "accounts" JSONB,
    "version" INTEGER NOT NULL DEFAULT 1,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP
);

-- CreateTable
CREATE TABLE "RateCard" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "validFrom" DATETIME NOT NULL,
    "data" JSONB NOT NULL,
    "byName" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP
);

-- CreateTable
CREATE TABLE "RecipeVersion" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "recipeId" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "data" JSONB NOT NULL,
    "byName" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP
);

-- CreateTable
CREATE TABLE "PrinterList" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "listId" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "data" JSONB NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "byName" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP
);

-- CreateTable
CREATE TABLE "TakenPace" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "recipeId" TEXT NOT NULL DEFAULT '',
    "stepKey" TEXT NOT NULL,
    "stationId" TEXT NOT NULL DEFAULT '',
    "factor" REAL NOT NULL,
    "runs" INTEGER NOT NULL,
    "least" REAL NOT NULL,
    "most" REAL NOT NULL,
    "byName" TEXT NOT NULL,
    "takenAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "KeptScreen" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "artworkId" TEXT NOT NULL,
    "design" TEXT NOT NULL,
    "widthMm" REAL NOT NULL,
    "heightMm" REAL NOT NULL,
    "screens" INTEGER NOT NULL,
    "place" TEXT NOT NULL DEFAULT '',
    "byName" TEXT NOT NULL,
    "keptAt" DATETIME NOT NULL,
    "goneAt" DATETIME
);

-- CreateTable
CREATE TABLE "Station" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "code" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "position" INTEGER NOT NULL,
    "state" TEXT,
    "facts" JSONB NOT NULL,
    "hours" JSONB NOT NULL,
    "closed" JSONB NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "CrewMember" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "userId" TEXT,
    "skills" JSONB NOT NULL,
    "hours" JSONB NOT NULL,
    "closed" JSONB NOT NULL,
    "wagePerHour" INTEGER NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "Term" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "kind" TEXT NOT NULL,
    "ref" TEXT NOT NULL,
    "fromAt" DATETIME NOT NULL,
    "data" JSONB NOT NULL,
    "byName" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "History" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byId" TEXT,
    "byName" TEXT NOT NULL,
    "what" TEXT NOT NULL,
    "entity" TEXT NOT NULL,
    "ref" TEXT NOT NULL,
    "before" JSONB,
    "after" JSONB
);

-- CreateTable
CREATE TABLE "Counter" (
    "name" TEXT NOT NULL PRIMARY KEY,
    "next" INTEGER NOT NULL
);

-- CreateTable
CREATE TABLE "BlankStyle" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "code" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "fibres" JSONB NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "retired" BOOLEAN NOT NULL DEFAULT false
);

-- CreateTable
CREATE TABLE "StockItem" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "sku" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "unit" TEXT NOT NULL,
    "styleId" TEXT,
    "colour" TEXT,
    "colourHex" TEXT,
    "size" TEXT,
    "consumable" TEXT,
    "reorderPoint" INTEGER NOT NULL DEFAULT 0,
    "reorderTo" INTEGER NOT NULL DEFAULT 0,
    "leadDays" INTEGER NOT NULL DEFAULT 3,
    "supplier" TEXT NOT NULL DEFAULT '',
    "priceMicro" BIGINT NOT NULL,
    "pricePer" INTEGER NOT NULL DEFAULT 1,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "StockItem_styleId_fkey" FOREIGN KEY ("styleId") REFERENCES "BlankStyle" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Movement" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "itemId" TEXT NOT NULL,
    "position" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    "valueMicro" BIGINT NOT NULL,
    "onHand" INTEGER NOT NULL,
    "worthMicro" BIGINT NOT NULL,
    "orderId" TEXT,
    "stepId" TEXT,
    "purchaseId" TEXT,
    "counters" TEXT,
    "why" TEXT NOT NULL DEFAULT '',
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT NOT NULL,
    "reportId" TEXT,
    "lot" TEXT NOT NULL DEFAULT '',
    "expiresAt" DATETIME,
    "formKey" TEXT,
    CONSTRAINT "Movement_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Movement_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "StockPromise" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "itemId" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    CONSTRAINT "StockPromise_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "StockCount" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "number" INTEGER NOT NULL,
    "name" TEXT NOT NULL,
    "blind" BOOLEAN NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'open',
    "startedAt" DATETIME NOT NULL,
    "startedBy" TEXT NOT NULL,
    "endedAt" DATETIME,
    "endedBy" TEXT,
    "formKey" TEXT
);

-- CreateTable
CREATE TABLE "StockCountLine" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "countId" TEXT NOT NULL,
    "itemId" TEXT NOT NULL,
    "found" INTEGER,
    "bookHad" INTEGER,
    "countedBy" TEXT NOT NULL DEFAULT '',
    "countedAt" DATETIME,
    "decided" TEXT NOT NULL DEFAULT '',
    "version" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "StockCountLine_countId_fkey" FOREIGN KEY ("countId") REFERENCES "StockCount" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "StockCountLine_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Purchase" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "number" INTEGER NOT NULL,
    "supplier" TEXT NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'sent',
    "dueAt" DATETIME,
    "note" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT NOT NULL,
    "formKey" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "PurchaseLine" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "purchaseId" TEXT NOT NULL,
    "itemId" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    "received" INTEGER NOT NULL DEFAULT 0,
    "valueMicro" BIGINT NOT NULL,
    CONSTRAINT "PurchaseLine_purchaseId_fkey" FOREIGN KEY ("purchaseId") REFERENCES "Purchase" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "PurchaseLine_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateIndex
CREATE UNIQUE INDEX "OrderCost_formKey_key" ON "OrderCost"("formKey");

-- CreateIndex
CREATE INDEX "OrderCost_orderId_idx" ON "OrderCost"("orderId");

-- CreateIndex
CREATE INDEX "OrderCost_at_idx" ON "OrderCost"("at");

-- CreateIndex
CREATE UNIQUE INDEX "Invoice_formKey_key" ON "Invoice"("formKey");

-- CreateIndex
CREATE INDEX "Invoice_orderId_idx" ON "Invoice"("orderId");

-- CreateIndex
CREATE INDEX "Invoice_issuedAt_idx" ON "Invoice"("issuedAt");

-- CreateIndex
CREATE UNIQUE INDEX "Invoice_kind_number_key" ON "Invoice"("kind", "number");

-- CreateIndex
CREATE INDEX "JobStep_state_idx" ON "JobStep"("state");

-- CreateIndex
CREATE UNIQUE INDEX "JobStep_orderId_job_position_key" ON "JobStep"("orderId", "job", "position");

-- CreateIndex
CREATE UNIQUE INDEX "PlannedRun_stepId_key" ON "PlannedRun"("stepId");

-- CreateIndex
CREATE INDEX "PlannedRun_stationId_startAt_idx" ON "PlannedRun"("stationId", "startAt");

-- CreateIndex
CREATE INDEX "PlannedRun_endAt_idx" ON "PlannedRun"("endAt");

-- CreateIndex
CREATE UNIQUE INDEX "Report_undoes_key" ON "Report"("undoes");

-- CreateIndex
CREATE UNIQUE INDEX "Report_formKey_key" ON "Report"("formKey");

-- CreateIndex
CREATE INDEX "Report_stepId_at_idx" ON "Report"("stepId", "at");

-- CreateIndex
CREATE INDEX "Report_at_idx" ON "Report"("at");

-- CreateIndex
CREATE UNIQUE INDEX "WorkLog_counters_key" ON "WorkLog"("counters");

-- CreateIndex
CREATE INDEX "WorkLog_stepId_idx" ON "WorkLog"("stepId");

-- CreateIndex
CREATE INDEX "WorkLog_orderId_idx" ON "WorkLog"("orderId");

-- CreateIndex
CREATE INDEX "WorkLog_toAt_idx" ON "WorkLog"("toAt");

-- CreateIndex
CREATE INDEX "WorkLog_reportId_idx" ON "WorkLog"("reportId");

-- CreateIndex
CREATE UNIQUE INDEX "Misprint_reportId_key" ON "Misprint"("reportId");

-- CreateIndex
CREATE INDEX "Misprint_stepId_idx" ON "Misprint"("stepId");

-- CreateIndex
CREATE INDEX "Misprint_orderId_idx" ON "Misprint"("orderId");

-- CreateIndex
CREATE INDEX "Misprint_at_idx" ON "Misprint"("at");

-- CreateIndex
CREATE INDEX "MonthReopen_month_idx" ON "MonthReopen"("month");

-- CreateIndex
CREATE INDEX "Customer_name_idx" ON "Customer"("name");

-- CreateIndex
CREATE UNIQUE INDEX "Order_number_key" ON "Order"("number");

-- CreateIndex
CREATE UNIQUE INDEX "Order_formKey_key" ON "Order"("formKey");

-- CreateIndex
CREATE INDEX "Order_state_promiseAt_idx" ON "Order"("state", "promiseAt");

-- CreateIndex
CREATE INDEX "Order_customerId_idx" ON "Order"("customerId");

-- CreateIndex
CREATE INDEX "Order_handedOverAt_idx" ON "Order"("handedOverAt");

-- CreateIndex
CREATE INDEX "Order_endedAt_idx" ON "Order"("endedAt");

-- CreateIndex
CREATE UNIQUE INDEX "OrderLine_orderId_position_key" ON "OrderLine"("orderId", "position");

-- CreateIndex
CREATE UNIQUE INDEX "OrderLineSize_lineId_itemId_key" ON "OrderLineSize"("lineId", "itemId");

-- CreateIndex
CREATE INDEX "Print_artworkId_idx" ON "Print"("artworkId");

-- CreateIndex
CREATE UNIQUE INDEX "Print_lineId_position_key" ON "Print"("lineId", "position");

-- CreateIndex
CREATE UNIQUE INDEX "Artwork_sha256_key" ON "Artwork"("sha256");

-- CreateIndex
CREATE INDEX "Clearance_artworkId_at_idx" ON "Clearance"("artworkId", "at");

-- CreateIndex
CREATE UNIQUE INDEX "ArtCheck_artworkId_key_key" ON "ArtCheck"("artworkId", "key");

-- CreateIndex
CREATE INDEX "ArtVersion_artworkId_cloth_at_idx" ON "ArtVersion"("artworkId", "cloth", "at");

-- CreateIndex
CREATE UNIQUE INDEX "Offer_token_key" ON "Offer"("token");

-- CreateIndex
CREATE UNIQUE INDEX "Offer_orderId_version_key" ON "Offer"("orderId", "version");

-- CreateIndex
CREATE UNIQUE INDEX "Payment_formKey_key" ON "Payment"("formKey");

-- CreateIndex
CREATE INDEX "Payment_orderId_idx" ON "Payment"("orderId");

-- CreateIndex
CREATE INDEX "Payment_at_idx" ON "Payment"("at");

-- CreateIndex
CREATE UNIQUE INDEX "Person_username_key" ON "Person"("username");

-- CreateIndex
CREATE UNIQUE INDEX "Person_email_key" ON "Person"("email");

-- CreateIndex
CREATE INDEX "TwoFactor_secret_idx" ON "TwoFactor"("secret");

-- CreateIndex
CREATE INDEX "TwoFactor_userId_idx" ON "TwoFactor"("userId");

-- CreateIndex
CREATE UNIQUE INDEX "Tablet_tokenHash_key" ON "Tablet"("tokenHash");

-- CreateIndex
CREATE UNIQUE INDEX "Session_token_key" ON "Session"("token");

-- CreateIndex
CREATE INDEX "Session_userId_idx" ON "Session"("userId");

-- CreateIndex
CREATE INDEX "Account_userId_idx" ON "Account"("userId");

-- CreateIndex
CREATE INDEX "Verification_identifier_idx" ON "Verification"("identifier");

-- CreateIndex
CREATE INDEX "RateCard_validFrom_idx" ON "RateCard"("validFrom");

-- CreateIndex
CREATE UNIQUE INDEX "RecipeVersion_recipeId_version_key" ON "RecipeVersion"("recipeId", "version");

-- CreateIndex
CREATE UNIQUE INDEX "PrinterList_listId_version_key" ON "PrinterList"("listId", "version");

-- CreateIndex
CREATE INDEX "TakenPace_recipeId_stepKey_stationId_takenAt_idx" ON "TakenPace"("recipeId", "stepKey", "stationId", "takenAt");

-- CreateIndex
CREATE INDEX "KeptScreen_design_goneAt_idx" ON "KeptScreen"("design", "goneAt");

-- CreateIndex
CREATE UNIQUE INDEX "Station_code_key" ON "Station"("code");

-- CreateIndex
CREATE UNIQUE INDEX "CrewMember_userId_key" ON "CrewMember"("userId");

-- CreateIndex
CREATE INDEX "Term_kind_ref_fromAt_idx" ON "Term"("kind", "ref", "fromAt");

-- CreateIndex
CREATE INDEX "History_entity_ref_at_idx" ON "History"("entity", "ref", "at");

-- CreateIndex
CREATE INDEX "History_at_idx" ON "History"("at");

-- CreateIndex
CREATE UNIQUE INDEX "BlankStyle_code_key" ON "BlankStyle"("code");

-- CreateIndex
CREATE UNIQUE INDEX "StockItem_sku_key" ON "StockItem"("sku");

-- CreateIndex
CREATE UNIQUE INDEX "StockItem_consumable_key" ON "StockItem"("consumable");

-- CreateIndex
CREATE INDEX "StockItem_styleId_colour_idx" ON "StockItem"("styleId", "colour");

-- CreateIndex
CREATE INDEX "StockItem_kind_idx" ON "StockItem"("kind");

-- CreateIndex
CREATE UNIQUE INDEX "Movement_counters_key" ON "Movement"("counters");

-- CreateIndex
CREATE UNIQUE INDEX "Movement_formKey_key" ON "Movement"("formKey");

-- CreateIndex
CREATE INDEX "Movement_orderId_idx" ON "Movement"("orderId");

-- CreateIndex
CREATE INDEX "Movement_stepId_idx" ON "Movement"("stepId");

-- CreateIndex
CREATE INDEX "Movement_reportId_idx" ON "Movement"("reportId");

-- CreateIndex
CREATE INDEX "Movement_purchaseId_idx" ON "Movement"("purchaseId");

-- CreateIndex
CREATE INDEX "Movement_at_idx" ON "Movement"("at");

-- CreateIndex
CREATE UNIQUE INDEX "Movement_itemId_position_key" ON "Movement"("itemId", "position");

-- CreateIndex
CREATE INDEX "StockPromise_itemId_idx" ON "StockPromise"("itemId");

-- CreateIndex
CREATE UNIQUE INDEX "StockPromise_orderId_itemId_key" ON "StockPromise"("orderId", "itemId");

-- CreateIndex
CREATE UNIQUE INDEX "StockCount_number_key" ON "StockCount"("number");

-- CreateIndex
CREATE UNIQUE INDEX "StockCount_formKey_key" ON "StockCount"("formKey");

-- CreateIndex
CREATE INDEX "StockCount_state_idx" ON "StockCount"("state");

-- CreateIndex
CREATE INDEX "StockCountLine_itemId_idx" ON "StockCountLine"("itemId");

-- CreateIndex
CREATE UNIQUE INDEX "StockCountLine_countId_itemId_key" ON "StockCountLine"("countId", "itemId");

-- CreateIndex
CREATE UNIQUE INDEX "Purchase_number_key" ON "Purchase"("number");

-- CreateIndex
CREATE UNIQUE INDEX "Purchase_formKey_key" ON "Purchase"("formKey");

-- CreateIndex
CREATE INDEX "Purchase_state_dueAt_idx" ON "Purchase"("state", "dueAt");

-- CreateIndex
CREATE INDEX "PurchaseLine_itemId_idx" ON "PurchaseLine"("itemId");

-- CreateIndex
CREATE INDEX "PurchaseLine_purchaseId_idx" ON "PurchaseLine"("purchaseId");

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
