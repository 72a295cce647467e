// Package profiles holds the starter library: attributes, ingredients and markets as TOML files, and the
// same packed for quick reading.
package profiles

import "embed"

// FS holds attributes.toml, botany.toml, ingredients/*.toml and markets/*.toml; demo/*.toml and plan/*.toml, the briefs and a plan of our
// invented bottling works; and start/, the files that a new maker's folder begins with.
//
//go:embed attributes.toml botany.toml ingredients markets demo plan start
var FS embed.FS

// Packed is library.gob, made of the files in FS by
//
//	go test ./internal/profile -update
//
//go:embed library.gob
var Packed []byte
