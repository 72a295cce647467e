package page

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"
)

// knownQuestion asks what is known of an ingredient, an attribute or a market.
type knownQuestion struct {
	// File is a brief whose profiles count; without one those of the folder do.
	File string `json:"file"`
	// Name is what is asked about; nothing when only the names are wanted.
	Name string `json:"name"`
}

// known shows figures with their sources, as profiles show does.
func (s *Server) known(_ context.Context, q *knownQuestion, w io.Writer) (string, error) {
	lib, err := s.profiles(q.File)
	if err != nil {
		return "", err
	}
	lib, made, err := brief.Prepare(lib)
	if err != nil {
		return "", err
	}
	var says bytes.Buffer
	if q.Name != "" {
		found, err := report.Known(&says, lib, made, q.Name, false)
		if err != nil {
			return "", err
		}
		if !found {
			return "", wrong(http.StatusNotFound, "there is no ingredient, attribute or market %q %s", q.Name, works.Hinted(tomlfile.DidYouMean(q.Name, lib.EveryName())))
		}
	}
	return asJSON, json.NewEncoder(w).Encode(map[string]any{"says": says.String(), "names": lib.EveryName()})
}

// profiles returns the library with the profiles over it that a brief names, or without a brief those of the folder.
func (s *Server) profiles(file string) (*profile.Library, error) {
	if file == "" {
		return s.ownLibrary()
	}
	text, err := s.text(file)
	if err != nil {
		return nil, err
	}
	if doc, err := tomlfile.Parse(file, []byte(text)); err != nil || doc.Root().String("profiles") == "" {
		return s.library, nil // what is wrong with the brief is said where it is opened
	}
	folder, err := s.profilesOf(file)
	if err != nil {
		return nil, err
	}
	return s.library.Overlay(folder)
}
