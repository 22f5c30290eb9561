-- Written by hand: the tool would build the table anew for a column that every row can be given as it is.
ALTER TABLE "Person" ADD COLUMN "also" TEXT NOT NULL DEFAULT '';
