-- CreateSchema
CREATE SCHEMA IF NOT EXISTS "public";

-- CreateTable
CREATE TABLE "OrderCost" (
    "id" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "at" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT COLLATE "C" NOT NULL,
    "formKey" TEXT COLLATE "C",

    CONSTRAINT "OrderCost_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Invoice" (
    "id" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "number" INTEGER NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "credits" TEXT COLLATE "C",
    "lowers" BOOLEAN NOT NULL DEFAULT false,
    "issuedAt" TIMESTAMP(3) NOT NULL,
    "dueAt" TIMESTAMP(3),
    "netMinor" INTEGER NOT NULL,
    "taxMinor" INTEGER NOT NULL,
    "grossMinor" INTEGER NOT NULL,
    "rateBp" INTEGER NOT NULL,
    "page" JSON NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "formKey" TEXT COLLATE "C",

    CONSTRAINT "Invoice_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "JobStep" (
    "id" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "job" TEXT COLLATE "C" NOT NULL,
    "position" INTEGER NOT NULL,
    "key" TEXT COLLATE "C" NOT NULL,
    "title" TEXT COLLATE "C" NOT NULL,
    "stationKind" TEXT COLLATE "C" NOT NULL,
    "stationState" TEXT COLLATE "C",
    "setupMinutes" INTEGER NOT NULL,
    "runMinutes" INTEGER NOT NULL,
    "attended" TEXT COLLATE "C" NOT NULL,
    "pausable" BOOLEAN NOT NULL,
    "gapMin" INTEGER NOT NULL DEFAULT 0,
    "gapMax" INTEGER,
    "pieces" INTEGER NOT NULL,
    "sizes" JSON NOT NULL,
    "recipe" JSON NOT NULL,
    "printId" TEXT COLLATE "C",
    "remakeOf" TEXT COLLATE "C",
    "state" TEXT COLLATE "C" NOT NULL DEFAULT 'waiting',
    "stationId" TEXT COLLATE "C",
    "startedAt" TIMESTAMP(3),
    "finishedAt" TIMESTAMP(3),
    "good" INTEGER NOT NULL DEFAULT 0,
    "spoiled" INTEGER NOT NULL DEFAULT 0,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "JobStep_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "PlannedRun" (
    "id" TEXT COLLATE "C" NOT NULL,
    "stepId" TEXT COLLATE "C" NOT NULL,
    "stationId" TEXT COLLATE "C" NOT NULL,
    "crewId" TEXT COLLATE "C",
    "startAt" TIMESTAMP(3) NOT NULL,
    "workAt" TIMESTAMP(3) NOT NULL,
    "endAt" TIMESTAMP(3) NOT NULL,
    "changeover" INTEGER NOT NULL,
    "setup" INTEGER NOT NULL,
    "run" INTEGER NOT NULL,

    CONSTRAINT "PlannedRun_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "PlanRecord" (
    "id" INTEGER NOT NULL DEFAULT 1,
    "madeAt" TIMESTAMP(3) NOT NULL,
    "reason" TEXT COLLATE "C" NOT NULL,
    "objective" JSON NOT NULL,
    "bound" JSON NOT NULL,
    "unplaced" JSON NOT NULL,
    "late" JSON NOT NULL,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "PlanRecord_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Pin" (
    "stepId" TEXT COLLATE "C" NOT NULL,
    "stationId" TEXT COLLATE "C" NOT NULL,
    "startAt" TIMESTAMP(3) NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "Pin_pkey" PRIMARY KEY ("stepId")
);

-- CreateTable
CREATE TABLE "PlanChange" (
    "id" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "words" TEXT COLLATE "C" NOT NULL,
    "change" JSON NOT NULL,
    "before" JSON NOT NULL,
    "undoneAt" TIMESTAMP(3),

    CONSTRAINT "PlanChange_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Report" (
    "id" TEXT COLLATE "C" NOT NULL,
    "stepId" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "good" INTEGER NOT NULL DEFAULT 0,
    "spoiled" INTEGER NOT NULL DEFAULT 0,
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "sizes" JSON,
    "byName" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL,
    "cameAt" TIMESTAMP(3),
    "undoes" TEXT COLLATE "C",
    "formKey" TEXT COLLATE "C",

    CONSTRAINT "Report_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "WorkLog" (
    "id" TEXT COLLATE "C" NOT NULL,
    "stepId" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "stationId" TEXT COLLATE "C",
    "crewId" TEXT COLLATE "C",
    "byName" TEXT COLLATE "C" NOT NULL,
    "fromAt" TIMESTAMP(3) NOT NULL,
    "toAt" TIMESTAMP(3) NOT NULL,
    "labourSeconds" INTEGER NOT NULL,
    "machineSeconds" INTEGER NOT NULL,
    "labourMinor" INTEGER NOT NULL,
    "machineMinor" INTEGER NOT NULL,
    "pieces" INTEGER NOT NULL DEFAULT 0,
    "reportId" TEXT COLLATE "C",
    "counters" TEXT COLLATE "C",

    CONSTRAINT "WorkLog_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Misprint" (
    "id" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "stepId" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "size" TEXT COLLATE "C" NOT NULL,
    "quantity" INTEGER NOT NULL,
    "reason" TEXT COLLATE "C" NOT NULL,
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "remake" TEXT COLLATE "C",
    "later" JSON NOT NULL DEFAULT '[]',
    "photo" TEXT COLLATE "C",
    "reportId" TEXT COLLATE "C",
    "undone" BOOLEAN NOT NULL DEFAULT false,
    "byName" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "Misprint_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "MonthClose" (
    "month" TEXT COLLATE "C" NOT NULL,
    "fromAt" TIMESTAMP(3) NOT NULL,
    "untilAt" TIMESTAMP(3) NOT NULL,
    "closedAt" TIMESTAMP(3) NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "totals" JSON NOT NULL,

    CONSTRAINT "MonthClose_pkey" PRIMARY KEY ("month")
);

-- CreateTable
CREATE TABLE "MonthReopen" (
    "id" TEXT COLLATE "C" NOT NULL,
    "month" TEXT COLLATE "C" NOT NULL,
    "closedAt" TIMESTAMP(3) NOT NULL,
    "closedBy" TEXT COLLATE "C" NOT NULL,
    "totals" JSON NOT NULL,
    "reopenedAt" TIMESTAMP(3) NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "why" TEXT COLLATE "C" NOT NULL,

    CONSTRAINT "MonthReopen_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Customer" (
    "id" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "contact" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "email" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "phone" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "address" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "taxExempt" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "Customer_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Order" (
    "id" TEXT COLLATE "C" NOT NULL,
    "number" INTEGER NOT NULL,
    "customerId" TEXT COLLATE "C" NOT NULL,
    "state" TEXT COLLATE "C" NOT NULL DEFAULT 'enquiry',
    "title" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "asked" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "promiseAt" TIMESTAMP(3),
    "promiseHard" BOOLEAN NOT NULL DEFAULT false,
    "rush" BOOLEAN NOT NULL DEFAULT false,
    "method" TEXT COLLATE "C",
    "way" TEXT COLLATE "C",
    "enquiredAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "offeredAt" TIMESTAMP(3),
    "agreedAt" TIMESTAMP(3),
    "agreedBy" TEXT COLLATE "C",
    "readyAt" TIMESTAMP(3),
    "handedOverAt" TIMESTAMP(3),
    "endedAt" TIMESTAMP(3),
    "endedWhy" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "agreed" JSON,
    "netMinor" INTEGER,
    "taxMinor" INTEGER,
    "grossMinor" INTEGER,
    "depositMinor" INTEGER,
    "unevenMinor" INTEGER NOT NULL DEFAULT 0,
    "creditMinor" INTEGER NOT NULL DEFAULT 0,
    "formKey" TEXT COLLATE "C",
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "Order_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "OrderLine" (
    "id" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "position" INTEGER NOT NULL,
    "styleId" TEXT COLLATE "C" NOT NULL,
    "colour" TEXT COLLATE "C" NOT NULL,

    CONSTRAINT "OrderLine_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "OrderLineSize" (
    "id" TEXT COLLATE "C" NOT NULL,
    "lineId" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "size" TEXT COLLATE "C" NOT NULL,
    "quantity" INTEGER NOT NULL,

    CONSTRAINT "OrderLineSize_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Print" (
    "id" TEXT COLLATE "C" NOT NULL,
    "lineId" TEXT COLLATE "C" NOT NULL,
    "position" INTEGER NOT NULL,
    "placement" TEXT COLLATE "C" NOT NULL,
    "widthMm" DOUBLE PRECISION NOT NULL,
    "heightMm" DOUBLE PRECISION NOT NULL,
    "dropMm" DOUBLE PRECISION NOT NULL,
    "offsetMm" DOUBLE PRECISION NOT NULL DEFAULT 0,
    "bySize" JSON,
    "layers" JSON,
    "artworkId" TEXT COLLATE "C",

    CONSTRAINT "Print_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Artwork" (
    "id" TEXT COLLATE "C" NOT NULL,
    "sha256" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "mime" TEXT COLLATE "C" NOT NULL,
    "bytes" INTEGER NOT NULL,
    "widthPx" INTEGER NOT NULL,
    "heightPx" INTEGER NOT NULL,
    "alpha" BOOLEAN NOT NULL,
    "declaredPpi" DOUBLE PRECISION,
    "likeness" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT COLLATE "C" NOT NULL,

    CONSTRAINT "Artwork_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Clearance" (
    "id" TEXT COLLATE "C" NOT NULL,
    "artworkId" TEXT COLLATE "C" NOT NULL,
    "basis" TEXT COLLATE "C" NOT NULL,
    "evidence" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "byName" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "Clearance_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "ArtCheck" (
    "id" TEXT COLLATE "C" NOT NULL,
    "artworkId" TEXT COLLATE "C" NOT NULL,
    "key" TEXT COLLATE "C" NOT NULL,
    "result" JSON NOT NULL,
    "measuredAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "ArtCheck_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "ArtVersion" (
    "id" TEXT COLLATE "C" NOT NULL,
    "artworkId" TEXT COLLATE "C" NOT NULL,
    "cloth" TEXT COLLATE "C" NOT NULL,
    "settings" JSON,
    "sha256" TEXT COLLATE "C" NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "ArtVersion_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Offer" (
    "id" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "version" INTEGER NOT NULL,
    "token" TEXT COLLATE "C" NOT NULL,
    "method" TEXT COLLATE "C" NOT NULL,
    "snapshot" JSON NOT NULL,
    "netMinor" INTEGER NOT NULL,
    "taxMinor" INTEGER NOT NULL,
    "grossMinor" INTEGER NOT NULL,
    "costMinor" INTEGER NOT NULL,
    "validUntil" TIMESTAMP(3) NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT COLLATE "C" NOT NULL,
    "openedAt" TIMESTAMP(3),
    "agreedAt" TIMESTAMP(3),
    "agreedName" TEXT COLLATE "C",
    "declinedAt" TIMESTAMP(3),
    "endedAt" TIMESTAMP(3),

    CONSTRAINT "Offer_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "OfferMail" (
    "id" TEXT COLLATE "C" NOT NULL,
    "offerId" TEXT COLLATE "C" NOT NULL,
    "to" TEXT COLLATE "C" NOT NULL,
    "subject" TEXT COLLATE "C" NOT NULL,
    "text" TEXT COLLATE "C" NOT NULL,
    "state" TEXT COLLATE "C" NOT NULL DEFAULT 'sending',
    "answer" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "at" TIMESTAMP(3) NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "formKey" TEXT COLLATE "C" NOT NULL,

    CONSTRAINT "OfferMail_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Payment" (
    "id" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "means" TEXT COLLATE "C" NOT NULL,
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "at" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT COLLATE "C" NOT NULL,
    "formKey" TEXT COLLATE "C",

    CONSTRAINT "Payment_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Person" (
    "id" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "username" TEXT COLLATE "C",
    "displayUsername" TEXT COLLATE "C",
    "email" TEXT COLLATE "C" NOT NULL,
    "emailVerified" BOOLEAN NOT NULL DEFAULT false,
    "image" TEXT COLLATE "C",
    "role" TEXT COLLATE "C" NOT NULL DEFAULT 'press',
    "active" BOOLEAN NOT NULL DEFAULT true,
    "twoFactorEnabled" BOOLEAN NOT NULL DEFAULT false,
    "pin" TEXT COLLATE "C",
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "Person_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "TwoFactor" (
    "id" TEXT COLLATE "C" NOT NULL,
    "secret" TEXT COLLATE "C" NOT NULL,
    "backupCodes" TEXT COLLATE "C" NOT NULL,
    "userId" TEXT COLLATE "C" NOT NULL,
    "verified" BOOLEAN NOT NULL DEFAULT true,
    "failedVerificationCount" INTEGER NOT NULL DEFAULT 0,
    "lockedUntil" TIMESTAMP(3),

    CONSTRAINT "TwoFactor_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Tablet" (
    "id" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "tokenHash" TEXT COLLATE "C" NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "lastUsedAt" TIMESTAMP(3),
    "endedAt" TIMESTAMP(3),

    CONSTRAINT "Tablet_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Session" (
    "id" TEXT COLLATE "C" NOT NULL,
    "token" TEXT COLLATE "C" NOT NULL,
    "expiresAt" TIMESTAMP(3) NOT NULL,
    "ipAddress" TEXT COLLATE "C",
    "userAgent" TEXT COLLATE "C",
    "tablet" BOOLEAN NOT NULL DEFAULT false,
    "userId" TEXT COLLATE "C" NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "Session_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Account" (
    "id" TEXT COLLATE "C" NOT NULL,
    "accountId" TEXT COLLATE "C" NOT NULL,
    "providerId" TEXT COLLATE "C" NOT NULL,
    "userId" TEXT COLLATE "C" NOT NULL,
    "accessToken" TEXT COLLATE "C",
    "refreshToken" TEXT COLLATE "C",
    "idToken" TEXT COLLATE "C",
    "accessTokenExpiresAt" TIMESTAMP(3),
    "refreshTokenExpiresAt" TIMESTAMP(3),
    "scope" TEXT COLLATE "C",
    "password" TEXT COLLATE "C",
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "Account_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Verification" (
    "id" TEXT COLLATE "C" NOT NULL,
    "identifier" TEXT COLLATE "C" NOT NULL,
    "value" TEXT COLLATE "C" NOT NULL,
    "expiresAt" TIMESTAMP(3) NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "updatedAt" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "Verification_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Shop" (
    "id" INTEGER NOT NULL DEFAULT 1,
    "name" TEXT COLLATE "C" NOT NULL,
    "currency" TEXT COLLATE "C" NOT NULL,
    "timeZone" TEXT COLLATE "C" NOT NULL,
    "measures" TEXT COLLATE "C" NOT NULL,
    "paper" TEXT COLLATE "C" NOT NULL DEFAULT 'a4',
    "publicAddress" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "demo" BOOLEAN NOT NULL DEFAULT false,
    "valuation" TEXT COLLATE "C" NOT NULL DEFAULT 'fifo',
    "firstPiece" BOOLEAN NOT NULL DEFAULT false,
    "belowZero" BOOLEAN NOT NULL DEFAULT true,
    "invoicing" JSON,
    "accounts" JSON,
    "backups" JSON,
    "version" INTEGER NOT NULL DEFAULT 1,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "Shop_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "RateCard" (
    "id" TEXT COLLATE "C" NOT NULL,
    "validFrom" TIMESTAMP(3) NOT NULL,
    "data" JSON NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "RateCard_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "RecipeVersion" (
    "id" TEXT COLLATE "C" NOT NULL,
    "recipeId" TEXT COLLATE "C" NOT NULL,
    "version" INTEGER NOT NULL,
    "data" JSON NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "RecipeVersion_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "PrinterList" (
    "id" TEXT COLLATE "C" NOT NULL,
    "listId" TEXT COLLATE "C" NOT NULL,
    "version" INTEGER NOT NULL,
    "data" JSON NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "byName" TEXT COLLATE "C" NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "PrinterList_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "TakenPace" (
    "id" TEXT COLLATE "C" NOT NULL,
    "recipeId" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "stepKey" TEXT COLLATE "C" NOT NULL,
    "stationId" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "factor" DOUBLE PRECISION NOT NULL,
    "runs" INTEGER NOT NULL,
    "least" DOUBLE PRECISION NOT NULL,
    "most" DOUBLE PRECISION NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "takenAt" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "TakenPace_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "KeptScreen" (
    "id" TEXT COLLATE "C" NOT NULL,
    "artworkId" TEXT COLLATE "C" NOT NULL,
    "design" TEXT COLLATE "C" NOT NULL,
    "widthMm" DOUBLE PRECISION NOT NULL,
    "heightMm" DOUBLE PRECISION NOT NULL,
    "screens" INTEGER NOT NULL,
    "place" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "byName" TEXT COLLATE "C" NOT NULL,
    "keptAt" TIMESTAMP(3) NOT NULL,
    "goneAt" TIMESTAMP(3),

    CONSTRAINT "KeptScreen_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Station" (
    "id" TEXT COLLATE "C" NOT NULL,
    "code" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "position" INTEGER NOT NULL,
    "state" TEXT COLLATE "C",
    "facts" JSON NOT NULL,
    "hours" JSON NOT NULL,
    "closed" JSON NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "Station_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "CrewMember" (
    "id" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "userId" TEXT COLLATE "C",
    "skills" JSON NOT NULL,
    "hours" JSON NOT NULL,
    "closed" JSON NOT NULL,
    "wagePerHour" INTEGER NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "CrewMember_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Term" (
    "id" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "ref" TEXT COLLATE "C" NOT NULL,
    "fromAt" TIMESTAMP(3) NOT NULL,
    "data" JSON NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "Term_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "History" (
    "id" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byId" TEXT COLLATE "C",
    "byName" TEXT COLLATE "C" NOT NULL,
    "what" TEXT COLLATE "C" NOT NULL,
    "entity" TEXT COLLATE "C" NOT NULL,
    "ref" TEXT COLLATE "C" NOT NULL,
    "before" JSON,
    "after" JSON,

    CONSTRAINT "History_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Counter" (
    "name" TEXT COLLATE "C" NOT NULL,
    "next" INTEGER NOT NULL,

    CONSTRAINT "Counter_pkey" PRIMARY KEY ("name")
);

-- CreateTable
CREATE TABLE "MailServer" (
    "id" INTEGER NOT NULL DEFAULT 1,
    "host" TEXT COLLATE "C" NOT NULL,
    "port" INTEGER NOT NULL,
    "security" TEXT COLLATE "C" NOT NULL,
    "user" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "password" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "from" TEXT COLLATE "C" NOT NULL,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "MailServer_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "ApiKey" (
    "id" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "hint" TEXT COLLATE "C" NOT NULL,
    "hash" TEXT COLLATE "C" NOT NULL,
    "scopes" JSON NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,
    "lastUsedAt" TIMESTAMP(3),
    "endedAt" TIMESTAMP(3),
    "endedBy" TEXT COLLATE "C" NOT NULL DEFAULT '',

    CONSTRAINT "ApiKey_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "ApiCall" (
    "id" TEXT COLLATE "C" NOT NULL,
    "keyId" TEXT COLLATE "C" NOT NULL,
    "number" TEXT COLLATE "C" NOT NULL,
    "bodyHash" TEXT COLLATE "C" NOT NULL,
    "answer" JSON NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "createdAt" TIMESTAMP(3) NOT NULL,

    CONSTRAINT "ApiCall_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "InkColour" (
    "id" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "hex" TEXT COLLATE "C" NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "byName" TEXT COLLATE "C" NOT NULL,
    "at" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "InkColour_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "BlankStyle" (
    "id" TEXT COLLATE "C" NOT NULL,
    "code" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "fibres" JSON NOT NULL,
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "retired" BOOLEAN NOT NULL DEFAULT false,

    CONSTRAINT "BlankStyle_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "StockItem" (
    "id" TEXT COLLATE "C" NOT NULL,
    "sku" TEXT COLLATE "C" NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "unit" TEXT COLLATE "C" NOT NULL,
    "styleId" TEXT COLLATE "C",
    "colour" TEXT COLLATE "C",
    "colourHex" TEXT COLLATE "C",
    "size" TEXT COLLATE "C",
    "consumable" TEXT COLLATE "C",
    "reorderPoint" INTEGER NOT NULL DEFAULT 0,
    "reorderTo" INTEGER NOT NULL DEFAULT 0,
    "leadDays" INTEGER NOT NULL DEFAULT 3,
    "supplier" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "priceMicro" BIGINT NOT NULL,
    "pricePer" INTEGER NOT NULL DEFAULT 1,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,
    "minOrder" INTEGER NOT NULL DEFAULT 0,
    "breaks" JSON,

    CONSTRAINT "StockItem_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Movement" (
    "id" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "position" INTEGER NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "quantity" INTEGER NOT NULL,
    "valueMicro" BIGINT NOT NULL,
    "onHand" INTEGER NOT NULL,
    "worthMicro" BIGINT NOT NULL,
    "orderId" TEXT COLLATE "C",
    "stepId" TEXT COLLATE "C",
    "purchaseId" TEXT COLLATE "C",
    "counters" TEXT COLLATE "C",
    "why" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "at" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT COLLATE "C" NOT NULL,
    "reportId" TEXT COLLATE "C",
    "lot" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "expiresAt" TIMESTAMP(3),
    "formKey" TEXT COLLATE "C",

    CONSTRAINT "Movement_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "StockLot" (
    "id" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "lot" TEXT COLLATE "C" NOT NULL,
    "expiresAt" TIMESTAMP(3),
    "extendedTo" TIMESTAMP(3),
    "extendedWhy" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "extendedBy" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "firstAt" TIMESTAMP(3) NOT NULL,
    "onHand" INTEGER NOT NULL DEFAULT 0,

    CONSTRAINT "StockLot_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "StockPromise" (
    "id" TEXT COLLATE "C" NOT NULL,
    "orderId" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "quantity" INTEGER NOT NULL,

    CONSTRAINT "StockPromise_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "StockCount" (
    "id" TEXT COLLATE "C" NOT NULL,
    "number" INTEGER NOT NULL,
    "name" TEXT COLLATE "C" NOT NULL,
    "blind" BOOLEAN NOT NULL,
    "state" TEXT COLLATE "C" NOT NULL DEFAULT 'open',
    "startedAt" TIMESTAMP(3) NOT NULL,
    "startedBy" TEXT COLLATE "C" NOT NULL,
    "endedAt" TIMESTAMP(3),
    "endedBy" TEXT COLLATE "C",
    "formKey" TEXT COLLATE "C",

    CONSTRAINT "StockCount_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "StockCountLine" (
    "id" TEXT COLLATE "C" NOT NULL,
    "countId" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "found" INTEGER,
    "bookHad" INTEGER,
    "countedBy" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "countedAt" TIMESTAMP(3),
    "decided" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "StockCountLine_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "Supplier" (
    "name" TEXT COLLATE "C" NOT NULL,
    "email" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "phone" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "address" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "leastMicro" BIGINT NOT NULL DEFAULT 0,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "Supplier_pkey" PRIMARY KEY ("name")
);

-- CreateTable
CREATE TABLE "Purchase" (
    "id" TEXT COLLATE "C" NOT NULL,
    "number" INTEGER NOT NULL,
    "supplier" TEXT COLLATE "C" NOT NULL,
    "state" TEXT COLLATE "C" NOT NULL DEFAULT 'sent',
    "dueAt" TIMESTAMP(3),
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "createdAt" TIMESTAMP(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "byName" TEXT COLLATE "C" NOT NULL,
    "sentAt" TIMESTAMP(3),
    "formKey" TEXT COLLATE "C",
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "Purchase_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "PurchaseLine" (
    "id" TEXT COLLATE "C" NOT NULL,
    "purchaseId" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "quantity" INTEGER NOT NULL,
    "received" INTEGER NOT NULL DEFAULT 0,
    "givenUp" INTEGER NOT NULL DEFAULT 0,
    "valueMicro" BIGINT NOT NULL,

    CONSTRAINT "PurchaseLine_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "PurchaseTrouble" (
    "id" TEXT COLLATE "C" NOT NULL,
    "purchaseId" TEXT COLLATE "C" NOT NULL,
    "itemId" TEXT COLLATE "C" NOT NULL,
    "kind" TEXT COLLATE "C" NOT NULL,
    "quantity" INTEGER NOT NULL,
    "outcome" TEXT COLLATE "C" NOT NULL,
    "note" TEXT COLLATE "C" NOT NULL DEFAULT '',
    "at" TIMESTAMP(3) NOT NULL,
    "byName" TEXT COLLATE "C" NOT NULL,

    CONSTRAINT "PurchaseTrouble_pkey" PRIMARY KEY ("id")
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
CREATE INDEX "JobStep_finishedAt_idx" ON "JobStep"("finishedAt");

-- CreateIndex
CREATE UNIQUE INDEX "JobStep_orderId_job_position_key" ON "JobStep"("orderId", "job", "position");

-- CreateIndex
CREATE UNIQUE INDEX "PlannedRun_stepId_key" ON "PlannedRun"("stepId");

-- CreateIndex
CREATE INDEX "PlannedRun_stationId_startAt_idx" ON "PlannedRun"("stationId", "startAt");

-- CreateIndex
CREATE INDEX "PlannedRun_endAt_idx" ON "PlannedRun"("endAt");

-- CreateIndex
CREATE INDEX "PlanChange_undoneAt_at_idx" ON "PlanChange"("undoneAt", "at");

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
CREATE INDEX "Order_state_number_idx" ON "Order"("state", "number");

-- CreateIndex
CREATE INDEX "Order_promiseAt_number_state_idx" ON "Order"("promiseAt", "number", "state");

-- CreateIndex
CREATE INDEX "Order_grossMinor_number_state_idx" ON "Order"("grossMinor", "number", "state");

-- CreateIndex
CREATE INDEX "Order_unevenMinor_idx" ON "Order"("unevenMinor");

-- CreateIndex
CREATE INDEX "Order_title_customerId_state_number_id_idx" ON "Order"("title", "customerId", "state", "number", "id");

-- CreateIndex
CREATE INDEX "Order_customerId_idx" ON "Order"("customerId");

-- CreateIndex
CREATE INDEX "Order_handedOverAt_idx" ON "Order"("handedOverAt");

-- CreateIndex
CREATE INDEX "Order_agreedAt_handedOverAt_endedAt_id_idx" ON "Order"("agreedAt", "handedOverAt", "endedAt", "id");

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
CREATE UNIQUE INDEX "OfferMail_formKey_key" ON "OfferMail"("formKey");

-- CreateIndex
CREATE INDEX "OfferMail_offerId_at_idx" ON "OfferMail"("offerId", "at");

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
CREATE INDEX "History_entity_at_id_idx" ON "History"("entity", "at", "id");

-- CreateIndex
CREATE INDEX "History_at_idx" ON "History"("at");

-- CreateIndex
CREATE UNIQUE INDEX "ApiKey_hash_key" ON "ApiKey"("hash");

-- CreateIndex
CREATE UNIQUE INDEX "ApiCall_orderId_key" ON "ApiCall"("orderId");

-- CreateIndex
CREATE UNIQUE INDEX "ApiCall_keyId_number_key" ON "ApiCall"("keyId", "number");

-- CreateIndex
CREATE UNIQUE INDEX "InkColour_name_key" ON "InkColour"("name");

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
CREATE UNIQUE INDEX "StockLot_itemId_lot_key" ON "StockLot"("itemId", "lot");

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

-- CreateIndex
CREATE INDEX "PurchaseTrouble_purchaseId_idx" ON "PurchaseTrouble"("purchaseId");

-- CreateIndex
CREATE INDEX "PurchaseTrouble_itemId_idx" ON "PurchaseTrouble"("itemId");

-- AddForeignKey
ALTER TABLE "OrderCost" ADD CONSTRAINT "OrderCost_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Invoice" ADD CONSTRAINT "Invoice_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "JobStep" ADD CONSTRAINT "JobStep_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "JobStep" ADD CONSTRAINT "JobStep_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "PlannedRun" ADD CONSTRAINT "PlannedRun_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "PlannedRun" ADD CONSTRAINT "PlannedRun_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "PlannedRun" ADD CONSTRAINT "PlannedRun_crewId_fkey" FOREIGN KEY ("crewId") REFERENCES "CrewMember"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Pin" ADD CONSTRAINT "Pin_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Pin" ADD CONSTRAINT "Pin_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Report" ADD CONSTRAINT "Report_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "WorkLog" ADD CONSTRAINT "WorkLog_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "WorkLog" ADD CONSTRAINT "WorkLog_stationId_fkey" FOREIGN KEY ("stationId") REFERENCES "Station"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "WorkLog" ADD CONSTRAINT "WorkLog_crewId_fkey" FOREIGN KEY ("crewId") REFERENCES "CrewMember"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Misprint" ADD CONSTRAINT "Misprint_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Misprint" ADD CONSTRAINT "Misprint_stepId_fkey" FOREIGN KEY ("stepId") REFERENCES "JobStep"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Misprint" ADD CONSTRAINT "Misprint_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Order" ADD CONSTRAINT "Order_customerId_fkey" FOREIGN KEY ("customerId") REFERENCES "Customer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "OrderLine" ADD CONSTRAINT "OrderLine_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "OrderLine" ADD CONSTRAINT "OrderLine_styleId_fkey" FOREIGN KEY ("styleId") REFERENCES "BlankStyle"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "OrderLineSize" ADD CONSTRAINT "OrderLineSize_lineId_fkey" FOREIGN KEY ("lineId") REFERENCES "OrderLine"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "OrderLineSize" ADD CONSTRAINT "OrderLineSize_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Print" ADD CONSTRAINT "Print_lineId_fkey" FOREIGN KEY ("lineId") REFERENCES "OrderLine"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Print" ADD CONSTRAINT "Print_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Clearance" ADD CONSTRAINT "Clearance_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "ArtCheck" ADD CONSTRAINT "ArtCheck_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "ArtVersion" ADD CONSTRAINT "ArtVersion_artworkId_fkey" FOREIGN KEY ("artworkId") REFERENCES "Artwork"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Offer" ADD CONSTRAINT "Offer_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "OfferMail" ADD CONSTRAINT "OfferMail_offerId_fkey" FOREIGN KEY ("offerId") REFERENCES "Offer"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Payment" ADD CONSTRAINT "Payment_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "TwoFactor" ADD CONSTRAINT "TwoFactor_userId_fkey" FOREIGN KEY ("userId") REFERENCES "Person"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Session" ADD CONSTRAINT "Session_userId_fkey" FOREIGN KEY ("userId") REFERENCES "Person"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Account" ADD CONSTRAINT "Account_userId_fkey" FOREIGN KEY ("userId") REFERENCES "Person"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "ApiCall" ADD CONSTRAINT "ApiCall_keyId_fkey" FOREIGN KEY ("keyId") REFERENCES "ApiKey"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "StockItem" ADD CONSTRAINT "StockItem_styleId_fkey" FOREIGN KEY ("styleId") REFERENCES "BlankStyle"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Movement" ADD CONSTRAINT "Movement_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "Movement" ADD CONSTRAINT "Movement_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order"("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "StockLot" ADD CONSTRAINT "StockLot_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "StockPromise" ADD CONSTRAINT "StockPromise_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "StockCountLine" ADD CONSTRAINT "StockCountLine_countId_fkey" FOREIGN KEY ("countId") REFERENCES "StockCount"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "StockCountLine" ADD CONSTRAINT "StockCountLine_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "PurchaseLine" ADD CONSTRAINT "PurchaseLine_purchaseId_fkey" FOREIGN KEY ("purchaseId") REFERENCES "Purchase"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "PurchaseLine" ADD CONSTRAINT "PurchaseLine_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "PurchaseTrouble" ADD CONSTRAINT "PurchaseTrouble_purchaseId_fkey" FOREIGN KEY ("purchaseId") REFERENCES "Purchase"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "PurchaseTrouble" ADD CONSTRAINT "PurchaseTrouble_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "StockItem"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

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
