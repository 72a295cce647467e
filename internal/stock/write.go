package stock

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/tomlfile"
	"bittersum/internal/wholefile"

	"github.com/rogpeppe/go-internal/lockedfile"
)

// ErrChanged is wrapped by the error about a file that another program changed meanwhile.
var ErrChanged = errors.New("changed meanwhile; nothing was written, try again")

// replace puts data at path in one step, synced; a variable so that tests can fill the disk.
var replace = wholefile.Write

// Backup returns the name under which the file's last state is kept.
func (b *Book) Backup() string { return b.File + ".bak" }

// patience is how long a writer waits for another to finish.
const patience = 10 * time.Second

// lock waits until no other program of ours writes the file, which may be a link to it.
func lock(target string) (unlock func(), err error) {
	dir, name := filepath.Split(target)
	type locked struct {
		unlock func()
		err    error
	}
	done := make(chan locked, 1)
	go func() {
		unlock, err := lockedfile.MutexAt(filepath.Join(dir, "."+name+".lock")).Lock()
		done <- locked{unlock, err}
	}()
	select {
	case l := <-done:
		if l.err != nil {
			return nil, fmt.Errorf("stock: %w", l.err)
		}
		return l.unlock, nil
	case <-time.After(patience):
		return nil, fmt.Errorf("stock: another program has been writing %s for %v; try again", target, patience)
	}
}

// Edit opens the lots file at path, has it changed and saves it, while other programs of ours wait. Nothing
// is written when the change fails or changes nothing.
func Edit(path string, change func(*Book) error) error {
	target, err := wholefile.Target(path)
	if err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	if is, err := os.Stat(filepath.Dir(target)); err != nil || !is.IsDir() {
		return tomlfile.Faults{{File: path, What: "there is no folder " + filepath.Dir(target)}}
	}
	unlock, err := lock(target)
	if err != nil {
		return err
	}
	defer unlock()
	b, err := Open(path)
	if err != nil {
		return err
	}
	if err := change(b); err != nil {
		return err
	}
	if b.exists && b.text == b.before {
		return nil
	}
	return b.save(target)
}

// Save writes the book: to a new file beside the old one, synced and renamed over it, after the old
// state has been kept as a backup in the same way. A link stays a link, a read-only file stays as it is. A
// file that is not as it was when the book was opened is left alone, with an error that wraps ErrChanged.
// Two programs never save at once.
func (b *Book) Save() error {
	target, err := wholefile.Target(b.File)
	if err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	unlock, err := lock(target)
	if err != nil {
		return err
	}
	defer unlock()
	return b.save(target)
}

func (b *Book) save(target string) error {
	now, err := os.ReadFile(target)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("stock: %w", err)
	}
	if there := err == nil; there != b.exists || there && !b.same(now) {
		return tomlfile.Faults{{File: b.File, What: ErrChanged.Error()}}
	}
	if err := wholefile.Protected(target); err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	if b.exists {
		if err := replace(b.Backup(), now); err != nil {
			return fmt.Errorf("stock: keeping a backup: %w", err)
		}
	}
	if err := replace(target, []byte(b.text)); err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	b.exists, b.opened = true, b.text
	return syncFolder(filepath.Dir(target))
}

func (b *Book) same(data []byte) bool { return string(data) == b.opened }

// syncFolder makes the renaming last through a loss of power, where the system has that.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	defer f.Close()
	_ = f.Sync() // some systems cannot sync a folder; the file itself is synced
	return nil
}

// withTable returns text with a TOML table after it.
func withTable(text, table string) string {
	if text != "" && !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	if text != "" {
		text += "\n"
	}
	return text + table
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func lotTable(l brief.Lot) string {
	var b strings.Builder
	put := func(key, value string, given bool) {
		if given {
			fmt.Fprintf(&b, "%s = %s\n", key, value)
		}
	}
	b.WriteString("[[lot]]\n")
	put("number", tomlfile.Quote(l.Number), true)
	put("ingredient", tomlfile.Quote(l.Ingredient), true)
	put("quantity_kg", decimal(l.QuantityKg), true)
	put("price_per_kg", decimal(l.PricePerKg), !math.IsNaN(l.PricePerKg))
	put("pack_kg", decimal(l.PackKg), l.PackKg != 0)
	put("moisture_share", decimal(l.Moisture), l.Moisture != 0)
	put("received", l.Received.Format(time.DateOnly), !l.Received.IsZero())
	put("best_before", l.BestBefore.Format(time.DateOnly), !l.BestBefore.IsZero())
	put("state", tomlfile.Quote(l.State), true)
	put("reason", tomlfile.Quote(l.Reason), l.Reason != "")
	put("supplier", tomlfile.Quote(l.Supplier), l.Supplier != "")
	put("delivery_note", tomlfile.Quote(l.DeliveryNote), l.DeliveryNote != "")
	for _, attribute := range contentNames(l) {
		c := l.Contents[attribute]
		fmt.Fprintf(&b, "\n[lot.contents.%s]\n", attribute)
		put("per_g", decimal(c.PerGram), true)
		put("sd", decimal(c.SD), c.SD != 0)
		put("recovery", decimal(c.Recovery), !math.IsNaN(c.Recovery))
		put("cap_recovery", decimal(c.CapRecovery), !math.IsNaN(c.CapRecovery))
		put("sure", tomlfile.Quote(l.Sure[attribute]), l.Sure[attribute] != "")
	}
	return b.String()
}

func contentNames(l brief.Lot) []string {
	var names []string
	for name := range l.Contents {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func drawTable(number string, d brief.Draw) string {
	text := fmt.Sprintf("[[draw]]\nlot = %s\nbatch = %s\nkg = %s\n", tomlfile.Quote(number), tomlfile.Quote(d.Batch), decimal(d.Kg))
	if d.Record != "" {
		text += "record = " + tomlfile.Quote(d.Record) + "\n"
	}
	if !d.On.IsZero() {
		text += "on = " + d.On.Format(time.DateOnly) + "\n"
	}
	return text
}

// cell is the value of one column of a new row.
type cell struct {
	column, text string
	number       bool
}

func lotCells(l brief.Lot) []cell {
	cells := []cell{{"number", l.Number, false}, {"ingredient", l.Ingredient, false}, {"quantity_kg", decimal(l.QuantityKg), true}}
	put := func(column, text string, given bool) {
		if given {
			cells = append(cells, cell{column, text, false})
		}
	}
	figure := func(column string, x float64, given bool) {
		if given {
			cells = append(cells, cell{column, decimal(x), true})
		}
	}
	figure("price_per_kg", l.PricePerKg, !math.IsNaN(l.PricePerKg))
	put("received", l.Received.Format(time.DateOnly), !l.Received.IsZero())
	put("best_before", l.BestBefore.Format(time.DateOnly), !l.BestBefore.IsZero())
	put("state", l.State, l.State != "")
	put("reason", l.Reason, l.Reason != "")
	figure("pack_kg", l.PackKg, l.PackKg != 0)
	figure("moisture_share", l.Moisture, l.Moisture != 0)
	put("supplier", l.Supplier, l.Supplier != "")
	put("delivery_note", l.DeliveryNote, l.DeliveryNote != "")
	for _, attribute := range contentNames(l) {
		c, key := l.Contents[attribute], "contents."+attribute
		figure(key+".per_g", c.PerGram, true)
		figure(key+".sd", c.SD, c.SD != 0)
		figure(key+".recovery", c.Recovery, !math.IsNaN(c.Recovery))
		figure(key+".cap_recovery", c.CapRecovery, !math.IsNaN(c.CapRecovery))
		put(key+".sure", l.Sure[attribute], l.Sure[attribute] != "")
	}
	return cells
}

func drawCells(number string, d brief.Draw) []cell {
	cells := []cell{{"number", number, false}, {"batch", d.Batch, false}, {"drawn_kg", decimal(d.Kg), true}}
	if d.Record != "" {
		cells = append(cells, cell{"drawn_record", d.Record, false})
	}
	if !d.On.IsZero() {
		cells = append(cells, cell{"drawn_on", d.On.Format(time.DateOnly), false})
	}
	return cells
}

func changeTable(number string, c brief.Change) string {
	text := fmt.Sprintf("[[change]]\nlot = %s\nwhat = %s\n", tomlfile.Quote(number), tomlfile.Quote(c.What))
	if c.Kg != 0 {
		text += "kg = " + decimal(c.Kg) + "\n"
	}
	text += "reason = " + tomlfile.Quote(c.Reason) + "\n"
	if c.By != "" {
		text += "by = " + tomlfile.Quote(c.By) + "\n"
	}
	if !c.On.IsZero() {
		text += "on = " + c.On.Format(time.DateOnly) + "\n"
	}
	return text
}

func changeCells(number string, c brief.Change) []cell {
	cells := []cell{{"number", number, false}, {"change", c.What, false}, {"reason", c.Reason, false}, {"by", c.By, false}}
	if c.Kg != 0 {
		cells = append(cells, cell{"change_kg", decimal(c.Kg), true})
	}
	if !c.On.IsZero() {
		cells = append(cells, cell{"changed_on", c.On.Format(time.DateOnly), false})
	}
	return cells
}

// withRow returns the CSV text of a file with a row after it, and with columns added to the heading where the row
// needs them. It is written as the file is: with what stands between its cells and its decimal sign.
func withRow(file, text string, cells []cell) (string, error) {
	if strings.TrimSpace(text) == "" {
		text = strings.Join(brief.LotColumns[:9], ",") + "\n"
	}
	if !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	shape, err := brief.LotsShape(file, text)
	if err != nil {
		return "", err
	}
	var added []string
	row := make([]string, len(shape.Columns), len(shape.Columns)+len(cells))
	for _, c := range cells {
		at := slices.Index(shape.Columns, c.column)
		if at < 0 {
			at = len(shape.Columns)
			shape.Columns, row, added = append(shape.Columns, c.column), append(row, ""), append(added, c.column)
		}
		row[at] = c.text
		if c.number {
			row[at] = shape.Number(c.text)
		}
	}
	between := string(shape.Delimiter)
	if len(added) > 0 {
		lines := strings.SplitAfter(text, "\n")
		end := lines[shape.Line-1][len(strings.TrimRight(lines[shape.Line-1], "\r\n")):]
		lines[shape.Line-1] = strings.TrimRight(lines[shape.Line-1], "\r\n") + between + strings.Join(added, between) + end
		text = strings.Join(lines, "")
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Comma = shape.Delimiter
	if err := w.Write(row); err != nil {
		return "", fmt.Errorf("stock: %w", err)
	}
	w.Flush()
	line := b.String()
	if strings.HasPrefix(line, "#") { // unquoted it would be read back as a comment
		line = `"` + row[0] + `"` + line[len(row[0]):]
	}
	return text + line, w.Error()
}
