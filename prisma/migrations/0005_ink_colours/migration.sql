-- CreateTable
CREATE TABLE "InkColour" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "hex" TEXT NOT NULL,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "byName" TEXT NOT NULL,
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP
);

-- CreateIndex
CREATE UNIQUE INDEX "InkColour_name_key" ON "InkColour"("name");
