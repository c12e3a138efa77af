// Package tables holds one row type a table. The type is the single source of
// the table's Parquet schema, its CSV header and its dictionary: the parquet
// tags name the columns, the comments above the fields say what they mean.
package tables
