package cli

import (
	"path/filepath"
	"strings"

	"bittersum/internal/report"

	"github.com/spf13/cobra"
)

func plotFlag(cmd *cobra.Command, path *string) {
	cmd.Flags().StringVar(path, "plot", "", "also draw it to this `file`, .svg or .png")
	_ = cmd.MarkFlagFilename("plot", "svg", "png")
}

// draw writes a picture to path, if there is one.
func draw(path string, picture func() (report.Picture, error)) error {
	if path == "" {
		return nil
	}
	kind := strings.TrimPrefix(strings.ToLower(filepath.Ext(path)), ".")
	if kind != "svg" && kind != "png" {
		return usage("--plot %s: a picture's name ends in .svg or .png", path)
	}
	p, err := picture()
	if err != nil {
		return err
	}
	data, err := p.Draw(kind)
	if err != nil {
		return err
	}
	return writeFile(path, data)
}
