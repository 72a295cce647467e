package tomlfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLinesOfKeys(t *testing.T) {
	text := "# a comment\n" + // 1
		"name = \"x\"\n" + // 2
		"[a.b]\n" + // 3
		"c = [1,\n" + // 4
		"  2, # two\n" + // 5
		"  3]\n" + // 6
		"\"d e\" = { f = 1, g = 'h' }\n" + // 7
		"[[list]]\n" + // 8
		"m = \"\"\"\nx = 1\n\"\"\"\n" + // 9-11
		"[[list]]\n" + // 12
		"k.l = 2\n" + // 13
		"[list.sub]\n" + // 14
		"z = true\n" // 15
	lines := indexLines(text)
	for path, want := range map[string]int{
		"name": 2, "a/b": 3, "a/b/c": 4, "a/b/c#1": 5, "a/b/c#2": 6, "a/b/d e": 7, "a/b/d e/f": 7, "a/b/d e/g": 7,
		"list#0": 8, "list#0/m": 9, "list#1": 12, "list#1/k/l": 13, "list#1/sub": 14, "list#1/sub/z": 15,
	} {
		assert.Equal(t, want, lines[strings.ReplaceAll(path, "/", separator)], path)
	}
}

func TestFaultsNameFileLineKeyAndTheWayOut(t *testing.T) {
	doc, err := Parse("brief.toml", []byte(strings.Join([]string{
		`name = 3`,
		`[targets.bitterness]`,
		`mni = 4`,
		`max = "ten"`,
		`[drink]`,
		`kind = "cordail"`,
		`share = 1.5`,
		`bad = nan`,
		`less = -2`,
		`list = ["a", "a", 3]`,
		`day = 7`,
	}, "\n")))
	require.NoError(t, err)
	root := doc.Root()
	root.String("name")
	bitterness := root.Table("targets").Table("bitterness")
	bitterness.Number("min", Any)
	bitterness.Number("max", Any)
	bitterness.Done()
	drink := root.Table("drink")
	drink.OneOf("kind", "soda", "cordial")
	drink.Number("share", Share)
	drink.Number("bad", Any)
	drink.Number("less", NonNegative)
	drink.Strings("list")
	drink.Date("day")
	drink.Require("title")
	drink.Done()
	root.Done()
	require.Error(t, doc.Err())
	assert.Equal(t, strings.Join([]string{
		`brief.toml:1: name: is a number; it must be a text in quotes`,
		`brief.toml:3: targets.bitterness.mni: is not a key that is known here (did you mean "min"?)`,
		`brief.toml:4: targets.bitterness.max: is a text; it must be a number`,
		`brief.toml:5: drink.title: is missing`,
		`brief.toml:6: drink.kind: "cordail" is not allowed; it must be one of soda, cordial (did you mean "cordial"?)`,
		`brief.toml:7: drink.share: 1.5 is out of range; it must be from 0 to 1`,
		`brief.toml:8: drink.bad: NaN is not a finite number`,
		`brief.toml:9: drink.less: -2 is out of range; it must be 0 or more`,
		`brief.toml:10: drink.list[2]: "a" stands twice`,
		`brief.toml:10: drink.list[3]: is a number; it must be a text in quotes`,
		`brief.toml:11: drink.day: is a number; it must be a date such as 2026-03-31, without quotes`,
	}, "\n"), doc.Err().Error())
}

func TestFilesThatAreNoTOML(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct{ content, want string }{
		"binary.toml": {"PK\x03\x04\x00\x00", "is not a text file"},
		"utf16.toml":  {"\xff\xfea\x00", "is UTF-16 text; save it as UTF-8"},
		"latin1.toml": {"a = 1\nname = \"caf\xe9\"\n", `:2: holds a byte that is not UTF-8; save the file as UTF-8`},
		"large.toml":  {strings.Repeat("#", MaxBytes+1), "is larger than 4 MiB; a file of that size is refused"},
		"comma.toml":  {"a = 1\nb = { per_g = 1,5, sd = 2 }\n", `:2: b.per_g: "1,5" has a decimal comma (numbers in this file have a decimal point)`},
		"syntax.toml": {"a = 1\nb = \n", ":2: "},
		"double.toml": {"a = 1\na = 2\n", ":2: "},
	} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(c.content), 0o600))
		_, err := Open(path)
		require.Error(t, err, name)
		assert.True(t, IsFault(err))
		assert.Contains(t, err.Error(), c.want, name)
		assert.NotContains(t, err.Error(), "\n", name)
	}
	_, err := Open(filepath.Join(dir, "none.toml"))
	assert.ErrorContains(t, err, "none.toml: there is no such file")
	_, err = Open(dir)
	assert.ErrorContains(t, err, "is a folder; a file is needed")
}

func TestByteOrderMarkAndCarriageReturnsAreRead(t *testing.T) {
	doc, err := Parse("x.toml", []byte("\xef\xbb\xbfname = \"Enziangeist süß\"\r\n[t]\r\nwrong = 1\r\n"))
	require.NoError(t, err)
	assert.Equal(t, "Enziangeist süß", doc.Root().String("name"))
	doc.Root().Table("t").Done()
	assert.ErrorContains(t, doc.Err(), "x.toml:3: t.wrong")
}

func TestNearest(t *testing.T) {
	names := []string{"bitterness", "sourness", "sweetness", "cinchona-bark-red", "gentian-root"}
	for word, want := range map[string]string{
		"biterness": "bitterness", "Sournes": "sourness", "gentian": "gentian-root", "zzz": "", "x": "", "gentain-root": "gentian-root",
	} {
		assert.Equal(t, want, Nearest(word, names), word)
	}
}

func FuzzParse(f *testing.F) {
	f.Add("a = 1\n[b.c]\nd = { e = [1, {f = 2}] }\n[[g]]\nh = '''x'''\n")
	f.Add("\"a\\\"b\" = 1\n[")
	f.Fuzz(func(t *testing.T, src string) {
		indexLines(src)
		doc, err := Parse("f.toml", []byte(src))
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Fatalf("a fault of more than one line: %q", err)
			}
			return
		}
		walk(doc.Root())
		if e := doc.Err(); e != nil && len(strings.Split(e.Error(), "\n")) < len(doc.Faults()) {
			t.Fatal("faults were lost")
		}
	})
}

func walk(t *Table) {
	for _, key := range t.Keys() {
		switch t.data[key].(type) {
		case map[string]any:
			walk(t.Table(key))
		case []map[string]any:
			for _, sub := range t.Tables(key) {
				walk(sub)
			}
		default:
			t.Number(key, Any)
		}
	}
	t.Done()
}
