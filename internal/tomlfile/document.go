package tomlfile

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// MaxBytes is the size above which a file is refused unread: no profile or brief comes near it.
const MaxBytes = 4 << 20

// Document is one parsed TOML file and the faults found in it so far.
type Document struct {
	name   string
	root   map[string]any
	lines  lineIndex
	faults Faults
	print  [sha256.Size]byte
}

// Open reads and parses the file at path. The error is a Faults for what the maker can mend (file
// missing, too large, not text, not TOML).
func Open(path string) (*Document, error) {
	data, err := ReadBytes(path)
	if err != nil {
		return nil, err
	}
	return Parse(path, data)
}

// OpenFS is Open within a file system; display is the name that faults show.
func OpenFS(fsys fs.FS, path, display string) (*Document, error) {
	data, err := fs.ReadFile(fsys, path)
	if err != nil {
		return nil, Faults{{File: display, What: cause(err)}}
	}
	return Parse(display, data)
}

// ReadText reads a text file of at most MaxBytes, without its byte order mark. The error is a Faults.
func ReadText(path string) (string, error) {
	data, err := ReadBytes(path)
	if err != nil {
		return "", err
	}
	return Text(path, data)
}

// ReadBytes reads a file of at most MaxBytes; of a larger one it gives one byte more. The error is a Faults.
func ReadBytes(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, Faults{{File: path, What: cause(err)}}
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, Faults{{File: path, What: "is a folder; a file is needed"}}
	}
	data, err := io.ReadAll(io.LimitReader(f, MaxBytes+1))
	if err != nil {
		return nil, Faults{{File: path, What: cause(err)}}
	}
	return data, nil
}

func cause(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "may not be read: permission denied"
	}
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return "cannot be read: " + pathErr.Err.Error()
	}
	return "cannot be read: " + err.Error()
}

// Text returns what a file of that name holds as text, without its byte order mark. The error is a Faults.
func Text(name string, data []byte) (string, error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	switch {
	case len(data) > MaxBytes:
		return "", Faults{{File: name, What: fmt.Sprintf("is larger than %d MiB; a file of that size is refused", MaxBytes>>20)}}
	case bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")):
		return "", Faults{{File: name, What: "is UTF-16 text; save it as UTF-8"}}
	case bytes.IndexByte(data, 0) >= 0:
		return "", Faults{{File: name, What: "is not a text file"}}
	}
	if !utf8.Valid(data) {
		line := 1
		for rest := data; len(rest) > 0; {
			r, size := utf8.DecodeRune(rest)
			if r == utf8.RuneError && size == 1 {
				break
			}
			if r == '\n' {
				line++
			}
			rest = rest[size:]
		}
		return "", Faults{{File: name, Line: line, What: "holds a byte that is not UTF-8; save the file as UTF-8"}}
	}
	return string(data), nil
}

// decimalComma matches a number with a comma in it that ends a line or stands in a table of one line.
var decimalComma = regexp.MustCompile(`=\s*(-?[0-9]+,[0-9]+)\s*([,}#].*)?$`)

// lineOf returns a line of a text, the first being 1, or nothing.
func lineOf(text string, n int) string {
	lines := strings.Split(text, "\n")
	if n < 1 || n > len(lines) {
		return ""
	}
	return strings.TrimRight(lines[n-1], "\r")
}

// Parse parses TOML text; name is the file's name in faults.
func Parse(name string, data []byte) (*Document, error) {
	src, err := Text(name, data)
	if err != nil {
		return nil, err
	}
	doc := &Document{name: name, root: map[string]any{}, print: sha256.Sum256(data)}
	if _, err := toml.Decode(src, &doc.root); err != nil {
		fault := Fault{File: name, What: strings.TrimPrefix(err.Error(), "toml: ")}
		var parse toml.ParseError
		if errors.As(err, &parse) {
			fault.Line = parse.Position.Line
			fault.Key = parse.LastKey
			fault.What = parse.Message
			if fault.What == "" {
				fault.What = strings.TrimPrefix(parse.Error(), "toml: ")
				if _, after, ok := strings.Cut(fault.What, "): "); ok {
					fault.What = after
				}
			}
		}
		fault.What = strings.ReplaceAll(fault.What, "\n", " ")
		if line := lineOf(src, fault.Line); decimalComma.MatchString(line) {
			fault.What = fmt.Sprintf("%q has a decimal comma", strings.TrimSpace(decimalComma.FindStringSubmatch(line)[1]))
			fault.Hint = "numbers in this file have a decimal point"
		}
		return nil, Faults{fault}
	}
	doc.lines = indexLines(src)
	return doc, nil
}

// Name returns the file's name.
func (d *Document) Name() string { return d.name }

// Fingerprint returns the SHA-256 of the file's bytes in hexadecimal, as sha256sum prints it.
func (d *Document) Fingerprint() string { return hex.EncodeToString(d.print[:]) }

// Root returns the document's outermost table.
func (d *Document) Root() *Table { return d.table("", d.root) }

// Faults returns all faults noted so far.
func (d *Document) Faults() Faults { return d.faults }

// Err returns the faults noted so far as an error, or nil.
func (d *Document) Err() error { return d.faults.Err() }

func (d *Document) table(path string, data map[string]any) *Table {
	return &Table{doc: d, path: path, data: data, known: map[string]bool{}}
}

// Quote returns a text as a TOML string.
func Quote(text string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b) // JSON's escapes are TOML's too
	e.SetEscapeHTML(false)
	_ = e.Encode(text)
	return strings.TrimSpace(b.String())
}
