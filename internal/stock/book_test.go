package stock

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func day(text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return d
}

func lot(number, ingredient string, kg float64, best string) brief.Lot {
	l := brief.Lot{Number: number, Ingredient: ingredient, QuantityKg: kg, PricePerKg: math.NaN(), State: brief.Accepted}
	if best != "" {
		l.BestBefore = day(best)
	}
	return l
}

const kept = `# a note that stays
[[lot]]
number = "A"   # so does this
ingredient = "sugar"
quantity_kg = 10
best_before = 2026-06-30
`

const keptCSV = `# a note that stays
number,ingredient,quantity_kg,best_before,contents.acidity.per_g
A,sugar,10,2026-06-30,
`

func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func TestWhatAFileHoldsStays(t *testing.T) {
	for name, before := range map[string]string{"lots.toml": kept, "lots.csv": keptCSV} {
		t.Run(name, func(t *testing.T) {
			path := write(t, name, before)
			book, err := Open(path)
			require.NoError(t, err)
			l := lot("B", "lemon-juice", 4.5, "2026-07-01")
			l.Contents = map[string]profile.Content{"acidity": {PerGram: 0.0525, SD: 0.0005, Recovery: math.NaN(), CapRecovery: math.NaN()}}
			require.NoError(t, book.Add(l))
			_, err = book.Draw(Batch{Number: "batch-1", Record: "r"}, day("2026-05-02"), map[string]float64{"A": 2.5, "B": 4.5})
			require.NoError(t, err)
			require.NoError(t, book.Save())
			assert.Equal(t, before, read(t, book.Backup()), "the backup holds the last state")
			after := read(t, path)
			for _, line := range strings.Split(strings.TrimSpace(before), "\n") {
				if !strings.HasPrefix(line, "number,") {
					assert.Contains(t, after, line+"\n")
				}
			}
			again, err := brief.OpenLots(path)
			require.NoError(t, err)
			assert.Equal(t, 7.5, again.Find("A").LeftKg())
			assert.Equal(t, 0.0, again.Find("B").LeftKg())
			assert.Equal(t, 0.0525, again.Find("B").Contents["acidity"].PerGram)
			assert.Equal(t, 0.0005, again.Find("B").Contents["acidity"].SD)
			assert.Equal(t, day("2026-05-02"), again.Find("A").Draws[0].On)
		})
	}
}

func TestARecordTakenAgainDrawsNoMore(t *testing.T) {
	path := write(t, "lots.toml", kept)
	book, err := Open(path)
	require.NoError(t, err)
	changed, err := book.Draw(Batch{Number: "b", Record: "r"}, time.Time{}, map[string]float64{"A": 3})
	require.NoError(t, err)
	assert.NotEmpty(t, changed)
	changed, err = book.Draw(Batch{Number: "b", Record: "r"}, time.Time{}, map[string]float64{"A": 3})
	require.NoError(t, err)
	assert.Empty(t, changed, "the same again is nothing new")
	changed, err = book.Draw(Batch{Number: "b", Record: "r"}, time.Time{}, map[string]float64{"A": 2})
	require.NoError(t, err)
	assert.NotEmpty(t, changed)
	assert.Equal(t, 8.0, book.Find("A").LeftKg())
	assert.Len(t, book.Find("A").Draws, 2, "a correction is added, nothing is rewritten")
	_, err = book.Draw(Batch{Number: "b", Record: "r"}, time.Time{}, map[string]float64{})
	require.NoError(t, err)
	assert.Equal(t, 10.0, book.Find("A").LeftKg())
	assert.Empty(t, Trace(book.Lots, "b"))
}

func TestRefusals(t *testing.T) {
	path := write(t, "lots.toml", kept)
	book, err := Open(path)
	require.NoError(t, err)
	assert.EqualError(t, book.Add(lot("A", "sugar", 1, "")), path+`:2: number: there is a lot "A" already`)
	assert.EqualError(t, book.Add(lot(" B", "sugar", 1, "")), path+`: lot[2].number: " B" begins or ends with a space, or holds a control character`)
	_, err = book.Draw(Batch{Number: "b", Record: "r"}, time.Time{}, map[string]float64{"A": 10.5})
	assert.EqualError(t, err, path+`: batch "b" needs 10.5 kg of lot "A", which has 10 kg left (weigh from another lot too, or correct quantity_kg)`)
	_, err = book.Draw(Batch{Number: "b", Record: "r"}, time.Time{}, map[string]float64{"C": 1})
	assert.EqualError(t, err, path+`: there is no lot "C"`)
	assert.Equal(t, kept, read(t, path))
	_, err = os.Stat(book.Backup())
	assert.ErrorIs(t, err, os.ErrNotExist)
}

func TestAFileThatChangedMeanwhileIsLeftAlone(t *testing.T) {
	path := write(t, "lots.toml", kept)
	book, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, book.Add(lot("B", "sugar", 1, "")))
	theirs := kept + "# another hand was here\n"
	require.NoError(t, os.WriteFile(path, []byte(theirs), 0o600))
	assert.EqualError(t, book.Save(), path+": changed meanwhile; nothing was written, try again")
	assert.Equal(t, theirs, read(t, path))

	fresh, err := Open(filepath.Join(t.TempDir(), "new.toml"))
	require.NoError(t, err)
	require.NoError(t, fresh.Add(lot("B", "sugar", 1, "")))
	require.NoError(t, os.WriteFile(fresh.File, []byte(kept), 0o600))
	assert.EqualError(t, fresh.Save(), fresh.File+": changed meanwhile; nothing was written, try again", "a file that appeared is one that changed")
}

func TestAFullDiskLosesNothing(t *testing.T) {
	path := write(t, "lots.toml", kept)
	book, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, book.Add(lot("B", "sugar", 1, "")))
	real := replace
	defer func() { replace = real }()
	for fails := 1; fails <= 2; fails++ {
		calls := 0
		replace = func(path string, data []byte) error {
			if calls++; calls == fails {
				return &os.PathError{Op: "write", Path: path, Err: syscall.ENOSPC}
			}
			return real(path, data)
		}
		err = book.Save()
		require.ErrorIs(t, err, syscall.ENOSPC)
		assert.Contains(t, err.Error(), "no space left on device")
		assert.Equal(t, kept, read(t, path))
	}
	replace = real
	require.NoError(t, book.Save())
	assert.Contains(t, read(t, path), `number = "B"`)
}

// Of two that add at once, each is either told to try again or has its lot in the file.
func TestTwoAtOnceLoseNothing(t *testing.T) {
	path := write(t, "lots.toml", kept)
	errs := make([]error, 8)
	var wait sync.WaitGroup
	for n := range errs {
		wait.Go(func() {
			for {
				book, err := Open(path)
				if err == nil {
					err = book.Add(lot(string(rune('a'+n)), "sugar", 1, ""))
				}
				if err == nil {
					err = book.Save()
				}
				if errs[n] = err; err == nil || !strings.Contains(err.Error(), ErrChanged.Error()) {
					return
				}
			}
		})
	}
	wait.Wait()
	require.NoError(t, errors.Join(errs...))
	lots, err := brief.OpenLots(path)
	require.NoError(t, err)
	assert.Len(t, lots.Lots, 1+len(errs))
}

func TestShelf(t *testing.T) {
	lots := &brief.Lots{Lots: []brief.Lot{
		lot("late", "sugar", 5, "2027-01-01"), lot("none", "sugar", 1, ""), lot("soon", "sugar", 2, "2026-06-10"),
		lot("gone", "sugar", 4, "2026-05-01"), lot("held", "honey", 3, "2026-06-05"),
	}}
	lots.Lots[4].State = brief.Held
	lots.Lots[0].PricePerKg = 2
	today := day("2026-06-01")
	var order []string
	for _, l := range FirstOut(lots) {
		order = append(order, l.Number)
	}
	assert.Equal(t, []string{"gone", "held", "soon", "late", "none"}, order)
	soon := Expiring(lots, today, 9)
	require.Len(t, soon, 3)
	assert.Equal(t, "soon", soon[2].Number, "its date is the last day asked for")
	assert.Len(t, Expiring(lots, today, 8), 2)
	h := Holdings(lots, today)
	require.Len(t, h, 2)
	assert.Equal(t, "honey", h[0].Ingredient)
	assert.Equal(t, 3.0, h[0].BarredKg)
	assert.Equal(t, 8.0, h[1].UsableKg)
	assert.Equal(t, 4.0, h[1].BarredKg, "past its date")
	assert.Equal(t, 10.0, h[1].Value)
	assert.True(t, h[1].Unpriced)
	assert.False(t, lots.Lots[2].Expired(day("2026-06-10")), "on its date a lot is still good")
	assert.True(t, lots.Lots[2].Expired(day("2026-06-11")))
}

// Whatever is drawn, both ways of tracing tell the same story, and what is left and what was taken make
// what was delivered, in TOML and CSV alike.
func TestTraceBothWays(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.SampledFrom([]string{"lots.toml", "lots.csv"}).Draw(rt, "file")
		book := &Book{Lots: &brief.Lots{File: name}}
		for _, number := range []string{"A", "B", "C"} {
			require.NoError(rt, book.Add(lot(number, "sugar", float64(rapid.IntRange(0, 1000).Draw(rt, "kg"))/8, "")))
		}
		for n := range rapid.IntRange(1, 6).Draw(rt, "draws") {
			want := map[string]float64{}
			for _, number := range []string{"A", "B", "C"} {
				if rapid.Bool().Draw(rt, "uses") {
					want[number] = book.Find(number).QuantityKg * float64(rapid.IntRange(0, 8).Draw(rt, "eighths")) / 8
				}
			}
			batch := string(rune('p' + n%3))
			_, err := book.Draw(Batch{Number: batch, Record: "r"}, time.Time{}, want)
			if err != nil {
				require.Contains(rt, err.Error(), "kg left")
				continue
			}
			for _, x := range Trace(book.Lots, batch) {
				require.InDelta(rt, want[x.Lot.Number], x.Kg, 1e-8)
			}
		}
		for n := range book.Lots.Lots {
			l := &book.Lots.Lots[n]
			sum := 0.0
			for _, x := range Trace(book.Lots, l.Number) {
				require.Equal(rt, l.Number, x.Lot.Number)
				found := false
				for _, y := range Trace(book.Lots, x.Batch) {
					found = found || y == x
				}
				require.True(rt, found)
				sum += x.Kg
			}
			require.InDelta(rt, l.QuantityKg, sum+l.LeftKg(), 1e-7)
		}
	})
}

// What cannot be is refused, not left out.
func TestALotThatCannotBe(t *testing.T) {
	for _, name := range []string{"lots.toml", "lots.csv"} {
		for what, spoil := range map[string]func(*brief.Lot){
			"pack_kg":        func(l *brief.Lot) { l.PackKg = -3 },
			"moisture_share": func(l *brief.Lot) { l.Moisture = -0.1 },
			"sd":             func(l *brief.Lot) { l.Contents = map[string]profile.Content{"acidity": {PerGram: 1, SD: -1}} },
		} {
			b, err := Open(filepath.Join(t.TempDir(), name))
			require.NoError(t, err)
			l := lot("A", "sugar", 1, "")
			spoil(&l)
			require.ErrorContains(t, b.Add(l), what, name)
			require.Nil(t, b.Find("A"))
		}
	}
}

// Spreadsheets mark a table as UTF-8 at its start; the mark is no part of the first column's name.
func TestATableWithAMark(t *testing.T) {
	path := write(t, "lots.csv", "\ufeff"+"number,ingredient,quantity_kg\nA,sugar,10\n")
	b, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, b.Add(lot("B", "sugar", 5, "")))
	require.NoError(t, b.Save())
	again, err := Open(path)
	require.NoError(t, err)
	require.Len(t, again.Lots.Lots, 2)
}

// A number that begins with # is no comment, and amounts are written as the decimals they are.
func TestWhatIsWrittenIsReadBack(t *testing.T) {
	for _, name := range []string{"lots.toml", "lots.csv"} {
		path := filepath.Join(t.TempDir(), name)
		b, err := Open(path)
		require.NoError(t, err)
		require.NoError(t, b.Add(lot("#12", "sugar", 10, "")))
		require.NotNil(t, b.Find("#12"), name)
		changed, err := b.Draw(Batch{Number: "batch"}, day("2026-05-01"), map[string]float64{"#12": 0.1 + 0.2})
		require.NoError(t, err)
		require.NotEmpty(t, changed)
		require.NoError(t, b.Save())
		again, err := Open(path)
		require.NoError(t, err)
		require.NotNil(t, again.Find("#12"), name)
		assert.Equal(t, 0.3, again.Find("#12").DrawnKg(), name)
	}
}

// Of many that write at once each waits for the others, and nothing is lost.
func TestWritersWaitForEachOther(t *testing.T) {
	path := write(t, "lots.toml", kept)
	errs := make([]error, 8)
	var wait sync.WaitGroup
	for n := range errs {
		wait.Go(func() {
			errs[n] = Edit(path, func(b *Book) error { return b.Add(lot(string(rune('a'+n)), "sugar", 1, "")) })
		})
	}
	wait.Wait()
	require.NoError(t, errors.Join(errs...))
	lots, err := brief.OpenLots(path)
	require.NoError(t, err)
	assert.Len(t, lots.Lots, 1+len(errs))
}

// A link to a lots file stays one, also when the file is not there yet; a read-only file stays as it is.
func TestLinksAndReadOnlyFilesStay(t *testing.T) {
	dir := t.TempDir()
	link, real := filepath.Join(dir, "shelf.toml"), filepath.Join(dir, "real.toml")
	require.NoError(t, os.Symlink("real.toml", link))
	add := func(number string) error {
		return Edit(link, func(b *Book) error { return b.Add(lot(number, "sugar", 1, "")) })
	}
	require.NoError(t, add("A"))
	require.NoError(t, add("B"))
	is, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, is.Mode()&os.ModeSymlink)
	assert.Contains(t, read(t, real), `number = "B"`)
	require.NoError(t, os.Chmod(real, 0o444))
	before := read(t, real)
	require.ErrorContains(t, add("C"), "read-only")
	assert.Equal(t, before, read(t, real))
}

// Two batches of one number never mix: what another record booked is neither corrected nor given back.
func TestAnotherRecordUnderTheSameNumber(t *testing.T) {
	for _, name := range []string{"lots.toml", "lots.csv"} {
		path := write(t, name, map[string]string{"lots.toml": kept, "lots.csv": keptCSV}[name])
		book, err := Open(path)
		require.NoError(t, err)
		_, err = book.Draw(Batch{Number: "B", Record: "one"}, day("2026-05-02"), map[string]float64{"A": 6})
		require.NoError(t, err)
		_, err = book.Draw(Batch{Number: "B", Record: "two", Adopt: true}, day("2026-05-02"), map[string]float64{"A": 3})
		require.ErrorContains(t, err, `batch "B" is booked already by another record (6 kg of lot "A" on 2026-05-02)`)
		assert.Equal(t, 4.0, book.Find("A").LeftKg())
		_, err = book.Draw(Batch{Number: "C", Record: "two"}, day("2026-05-02"), map[string]float64{"A": 3})
		require.NoError(t, err)
		changes, err := book.Draw(Batch{Number: "B", Record: "one"}, day("2026-05-03"), map[string]float64{"A": 5})
		require.NoError(t, err)
		assert.Equal(t, []string{"1 kg of sugar, lot A, go back on the shelf: this record had 6 kg before; 2 kg are left"}, changes)
	}
}
