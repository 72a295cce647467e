package cli

import (
	"path/filepath"
	"strings"

	"bittersum/internal/report"

	"github.com/spf13/cobra"
)

// studied is how the answer of a what-if is given: in a format, and as a picture if one is asked for.
type studied struct {
	format
	outputs
	plot string
}

func (s *studied) flags(cmd *cobra.Command) {
	s.format.flags(cmd, false)
	s.extentFlag(cmd)
	s.outputs.flags(cmd)
	cmd.Flags().StringVar(&s.plot, "plot", "", "also draw it to this `file`, .svg or .png")
	_ = cmd.MarkFlagFilename("plot", "svg", "png")
}

func (s *studied) check() error {
	if kind := s.picture(); s.plot != "" && kind != "svg" && kind != "png" {
		return usage("--plot %s: a picture's name ends in .svg or .png", s.plot)
	}
	s.Add("--plot", s.plot, report.OwnPicture)
	if err := s.outputs.Check(); err != nil {
		return err
	}
	return s.format.check()
}

// picture returns the kind of picture that the file's name asks for.
func (s *studied) picture() string {
	return strings.TrimPrefix(strings.ToLower(filepath.Ext(s.plot)), ".")
}

// finish writes an answer and draws its picture; an answer that is a conflict has none, and ends with the
// code that says so.
func (s *studied) finish(unmet bool, text func(), asJSON func() error, picture func() (report.Picture, error)) error {
	if err := s.format.write(text, asJSON, nil); err != nil {
		return err
	}
	if unmet {
		return exitError{code: codeUnmet}
	}
	if s.plot == "" {
		return nil
	}
	p, err := picture()
	if err != nil {
		return err
	}
	data, err := p.Draw(s.picture())
	if err != nil {
		return err
	}
	return s.outputs.Write(s.plot, data)
}
