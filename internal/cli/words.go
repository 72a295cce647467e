package cli

import (
	"bufio"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/intake"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newWords() *cobra.Command {
	var as, dir string
	var said sayings
	cmd := &cobra.Command{
		Use:   "words FILE --as KIND",
		Short: "Say once what the headings and names of a spreadsheet mean",
		Long: `Read a spreadsheet (.csv or .xlsx) as KIND (prices, lots, recipe or ingredients),
list the headings and names that are not the program's own with what they likely
mean, ask which it is, and keep the answers beside it, in FILE.words.toml. Nothing
is guessed: what is not answered is listed, and nothing is written.

Answers are typed, or given as --column and --name; - leaves a column or a name out.
The file has these keys, which may be changed freely:

  [columns]             a column by heading, such as "Artikel" = "ingredient"
  [names]               an ingredient by name, such as "Zucker" = "sugar"
  [own]                 the name of an ingredient of your own, by what a recipe calls it
  sheet                 the worksheet to read
  currency              the code of what prices are in, where the table does not say
  decimal               "point" or "comma", where its numbers do not show it
  leave_unknown         true leaves out rows whose ingredient nothing here knows`,
		Example: "  bittersum words list.xlsx --as prices\n  bittersum words list.xlsx --as prices --column Artikel=ingredient --name Zucker=sugar",
		Args:    exactly("a spreadsheet"),
		RunE: func(cmd *cobra.Command, args []string) error {
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			kind, ok := works.TableKind(as, lib)
			if !ok {
				return usage("words needs --as, one of %s%s", strings.Join(works.TableNames, ", "), suggestion(as, works.TableNames))
			}
			table, err := settledWords(cmd, args[0], kind, lib, said)
			if err != nil {
				return err
			}
			report.Words(cmd.OutOrStdout(), table)
			return nil
		},
	}
	cmd.Flags().StringVar(&as, "as", "", "read it as `prices`, lots, recipe or ingredients")
	cmd.Flags().StringVar(&dir, "profiles", "", "a `folder` of your own profiles over the library")
	said.flags(cmd)
	return cmd
}

// sayings are what is said on the command line of the words of a spreadsheet.
type sayings struct {
	columns, names           []string
	sheet, currency, decimal string
	leave                    bool
}

func (s *sayings) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringArrayVar(&s.columns, "column", nil, "what a heading means, as `HEADING=COLUMN`; may stand several times")
	f.StringArrayVar(&s.names, "name", nil, "what a name means, as `NAME=INGREDIENT`; may stand several times")
	f.StringVar(&s.sheet, "sheet", "", "the `name` of the worksheet to read")
	f.StringVar(&s.currency, "currency", "", "the `code` of what its prices are in, where it does not say")
	f.StringVar(&s.decimal, "decimal", "", "the decimal sign of its numbers, `point` or comma, where they do not show it")
	f.BoolVar(&s.leave, "leave-unknown", false, "leave out rows whose ingredient nothing here knows")
}

// settledWords reads a table, asks what its words mean and keeps the answers beside it.
func settledWords(cmd *cobra.Command, path string, kind words.Kind, lib *profile.Library, said sayings) (*words.Table, error) {
	w, err := words.Open(path)
	if err != nil {
		return nil, err
	}
	before := w.Text(filepath.Base(path))
	if err := said.tell(w, kind, lib); err != nil {
		return nil, err
	}
	book, err := sheet.Open(path)
	if err != nil {
		return nil, err
	}
	a := &asker{cmd: cmd, in: bufio.NewReader(cmd.InOrStdin()), file: path, kind: kind, lib: lib, words: w}
	table, err := a.settle(book)
	if err != nil {
		return nil, err
	}
	return table, works.KeepWords(path, w, before)
}

// tell puts what the command line says into w.
func (s sayings) tell(w *words.Words, kind words.Kind, lib *profile.Library) error {
	if w.Columns == nil {
		w.Columns, w.Names, w.Own = map[string]string{}, map[string]string{}, map[string]string{}
	}
	for _, text := range s.columns {
		heading, column, ok := cutLast(text)
		if !ok || column != words.LeftOut && !kind.Takes(column) {
			return usage("--column %q: give it as HEADING=COLUMN, of the columns %s%s", text, strings.Join(kind.Names(), ", "), suggestion(column, kind.Names()))
		}
		w.Columns[heading] = column
	}
	for _, text := range s.names {
		name, ingredient, ok := cutLast(text)
		if !ok || ingredient != words.LeftOut && lib.Ingredients[ingredient] == nil && lib.Preparations[ingredient] == nil {
			return usage("--name %q: give it as NAME=INGREDIENT, of profiles list%s", text, suggestion(ingredient, lib.Names()))
		}
		w.Names[name] = ingredient
	}
	w.LeaveUnknown = w.LeaveUnknown || s.leave
	return works.TellHow(w, s.sheet, s.currency, s.decimal)
}

// cutLast parts NAME=VALUE at its last =, as a heading may hold one.
func cutLast(text string) (name, value string, ok bool) {
	at := strings.LastIndexByte(text, '=')
	if at < 1 || at == len(text)-1 {
		return "", "", false
	}
	return strings.TrimSpace(text[:at]), strings.TrimSpace(text[at+1:]), true
}

// asker asks what the words of a spreadsheet mean.
type asker struct {
	cmd   *cobra.Command
	in    *bufio.Reader
	file  string
	kind  words.Kind
	lib   *profile.Library
	words *words.Words
	// silent says that no answer comes any more, and open what was not answered.
	silent bool
	open   tomlfile.Faults
	// kinds are those of ingredients of one's own, by name, where a word may be one; else nil.
	kinds map[string]string
}

// own notes that a word is an ingredient that is not in the library. wrong says what is wrong with that.
func (a *asker) own(word, name, kind string) (wrong string) {
	switch {
	case !ingredientName.MatchString(name):
		return fmt.Sprintf("%q is no name: use small letters, digits and single hyphens", name)
	case a.lib.Ingredients[name] != nil && a.words.Own[word] != name:
		return fmt.Sprintf("the library has a %q already", name)
	case !slices.Contains(profile.Kinds, kind):
		return fmt.Sprintf("there is no kind %q (%s)", kind, hintOf(kind))
	}
	a.words.Own[word], a.kinds[name] = name, kind
	return ""
}

// strangers asks what the words of a recipe in TOML mean that are no names of the library.
func (a *asker) strangers(r *intake.Recipe) error {
	for _, q := range works.Strangers(r, a.lib, a.words) {
		if ingredient, ok := a.ask(q, fmt.Sprintf("%q", q.Word), "name", a.lib.Names()); ok {
			a.words.Names[q.Word] = ingredient
		}
	}
	return a.open.Err()
}

// settle asks about the headings, then about the names. The error is a tomlfile.Faults of what was not answered.
func (a *asker) settle(book *sheet.Book) (*words.Table, error) {
	table, at, _, err := a.kind.Choose(book, a.words)
	if err != nil {
		return nil, err
	}
	for _, q := range a.kind.Open(table, at, a.words) {
		example := ""
		if q.Example != "" {
			example = fmt.Sprintf(" (such as %q)", q.Example)
		}
		if column, ok := a.ask(q, fmt.Sprintf("the heading %q%s", q.Word, example), "column", a.kind.Names()); ok {
			a.words.Columns[q.Word] = column
		}
	}
	if err := a.open.Err(); err != nil {
		return nil, err
	}
	t, err := a.kind.Read(book, a.words)
	if err != nil {
		return nil, err
	}
	for _, q := range t.Strangers(works.Called(a.lib), works.Candidates(a.lib)) {
		if ingredient, ok := a.ask(q, fmt.Sprintf("%q", q.Word), "name", a.lib.Names()); ok {
			a.words.Names[q.Word] = ingredient
		}
	}
	if err := append(a.open, t.Faults...).Err(); err != nil {
		return nil, err
	}
	return t, nil
}

// ask asks which of the known names a word means, those it likely means first. ok is false when no answer came,
// which is noted.
func (a *asker) ask(q words.Question, what, flag string, known []string) (answer string, ok bool) {
	out := a.cmd.ErrOrStderr()
	if !a.silent {
		fmt.Fprintf(out, "%s: what is %s?\n", a.file, what)
		for n, name := range q.Likely {
			title := ""
			if g := a.lib.Ingredients[name]; g != nil && flag == "name" {
				title = g.Title
			}
			for _, c := range a.kind.Columns {
				if c.Name == name && flag == "column" {
					title = c.About
				}
			}
			fmt.Fprintf(out, "  %d  %-22s %s\n", n+1, name, title)
		}
	}
	for !a.silent {
		own := ""
		if a.kinds != nil && flag == "name" {
			own = "own NAME KIND for one of your own, "
		}
		fmt.Fprintf(out, "A number, a %s, %sor - to leave it out: ", map[string]string{"column": "column's name", "name": "name of profiles list"}[flag], own)
		line, err := a.in.ReadString('\n')
		line = strings.TrimSpace(line)
		n, wrong := strconv.Atoi(line)
		switch {
		case line == words.LeftOut || slices.Contains(known, line):
			return line, true
		case wrong == nil && n >= 1 && n <= len(q.Likely):
			return q.Likely[n-1], true
		case err != nil:
			a.silent = true
			fmt.Fprintln(out)
		case own != "" && strings.HasPrefix(line, "own "):
			said := strings.Fields(line)
			if len(said) != 3 {
				fmt.Fprintln(out, "Say own, a name for it, and its kind.")
			} else if wrong := a.own(q.Word, said[1], said[2]); wrong != "" {
				fmt.Fprintln(out, wrong)
			} else {
				return "", false
			}
		default:
			fmt.Fprintf(out, "There is no %q%s.\n", line, suggestion(line, known))
		}
	}
	say := "?"
	if len(q.Likely) > 0 {
		say = q.Likely[0]
	}
	hint := fmt.Sprintf("likely %s; say it with --%s %q, or =- to leave it out", strings.Join(q.Likely, ", "), flag, q.Word+"="+say)
	if len(q.Likely) == 0 {
		hint = fmt.Sprintf("nothing is like it; say it with --%s %q, or =- to leave it out", flag, q.Word+"=NAME")
	}
	if a.kinds != nil && flag == "name" {
		hint += fmt.Sprintf("; not in the library: --own %q", q.Word+"=NAME:KIND")
	}
	a.open = append(a.open, tomlfile.Fault{File: a.file, Line: q.Line, What: fmt.Sprintf("what %q means is not said", q.Word), Hint: hint})
	return "", false
}
