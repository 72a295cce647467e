// Package profiles holds the starter library: attributes, ingredients and markets as TOML files.
package profiles

import "embed"

// FS holds attributes.toml, ingredients/*.toml and markets/*.toml.
//
//go:embed attributes.toml ingredients markets
var FS embed.FS
