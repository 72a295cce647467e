package page

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// browser opens a page in Chromium, headless; a test that needs it skips where there is none.
func browser(t *testing.T) context.Context {
	program := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			program = found
			break
		}
	}
	if program == "" {
		t.Skip("no Chromium is installed")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.WindowSize(1440, 1000))
	for try := 1; ; try++ { // on a busy machine it may fail to start
		allocated, stop := chromedp.NewExecAllocator(context.Background(), options...)
		ctx, end := chromedp.NewContext(allocated)
		err := chromedp.Run(ctx)
		if err != nil && try < 3 {
			end()
			stop()
			continue
		}
		t.Cleanup(stop)
		t.Cleanup(end)
		require.NoError(t, err)
		ctx, cancel := context.WithTimeout(ctx, 2*time.Minute)
		t.Cleanup(cancel)
		return ctx
	}
}

// unnamed lists the boxes and buttons of the page that a reader of the screen could not name.
const unnamed = `[...document.querySelectorAll("input, select, textarea, button, iframe")].filter((e) =>
	!(e.labels && [...e.labels].some((l) => l.textContent.trim())) && !e.getAttribute("aria-label") && !e.title && !(e.tagName === "BUTTON" && e.textContent.trim())
).map((e) => e.outerHTML.slice(0, 120)).join("\n")`

// photograph looks at a view at three widths: nothing reaches beyond the screen, and everything that can be used has a
// name. It keeps pictures where BITTERSUM_SCREENS names a folder.
func photograph(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	folder := os.Getenv("BITTERSUM_SCREENS")
	var nameless string
	require.NoError(t, chromedp.Run(ctx, chromedp.Evaluate(unnamed, &nameless)))
	assert.Empty(t, nameless, name)
	accessible(t, ctx, name)
	for _, width := range []int64{1440, 820, 390} {
		var beyond int64
		require.NoError(t, chromedp.Run(ctx, emulation.SetDeviceMetricsOverride(width, 1000, 1, false), chromedp.Evaluate("document.documentElement.scrollWidth", &beyond)))
		assert.LessOrEqual(t, beyond, width, "%s at %d", name, width)
		if folder == "" {
			continue
		}
		var image []byte
		require.NoError(t, chromedp.Run(ctx, chromedp.Sleep(100*time.Millisecond), chromedp.FullScreenshot(&image, 100)))
		require.NoError(t, os.WriteFile(filepath.Join(folder, name+"-"+strconv.FormatInt(width, 10)+".png"), image, 0o644))
	}
	require.NoError(t, chromedp.Run(ctx, emulation.ClearDeviceMetricsOverride()))
}

// accessible looks a view through with the rules of axe-core, where BITTERSUM_AXE names its script: those of WCAG 2.2 A
// and AA, in light and in dark.
func accessible(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	script := os.Getenv("BITTERSUM_AXE")
	if script == "" {
		return
	}
	rules, err := os.ReadFile(script)
	require.NoError(t, err)
	for _, scheme := range []string{"light", "dark"} {
		var found string
		require.NoError(t, chromedp.Run(ctx, emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}),
			chromedp.Evaluate(string(rules)+"; 0", nil),
			chromedp.Evaluate(`axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], iframes: false }).then((r) => r.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + v.help + ": " + n.html.slice(0, 160))).join("\n"))`, &found,
				func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) })))
		assert.Empty(t, found, "%s in %s", name, scheme)
	}
	require.NoError(t, chromedp.Run(ctx, emulation.SetEmulatedMedia().WithFeatures(nil)))
}

// settled waits until the page says nothing of working any more.
func settled() chromedp.Action {
	return chromedp.Poll(`!["Solving…","Reading…","Looking through the folder…"].includes(document.getElementById("state").textContent)`, nil)
}

func TestInABrowser(t *testing.T) {
	ctx := browser(t)
	folder := copyOfDemos(t)
	server := serving(t, folder)
	var noise []string
	chromedp.ListenTarget(ctx, func(event any) {
		if dialog, ok := event.(*page.EventJavascriptDialogOpening); ok {
			noise = append(noise, dialog.Message)
		}
	})
	var list, cost, address string
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()),
		visible("table"), settled(),
		textOf("main", &list),
		chromedp.Location(&address)))
	assert.NotContains(t, address, "key=", "the secret leaves the address")
	assert.Contains(t, list, "Bitter-orange aperitif soda")
	photograph(t, ctx, "list")

	// A target set to a number gives the recipe of the same brief with that number.
	require.NoError(t, chromedp.Run(ctx,
		click(`//a[@href="#bitter-orange.toml"]`),
		visible("#cost"), settled(),
		textOf("#cost", &cost)))
	assert.Contains(t, cost, costOf(t, server, &Question{File: "bitter-orange.toml"}))
	var holds string // a cap that an unknown content keeps from being shown to hold is said beside the others
	require.NoError(t, chromedp.Run(ctx, textOf("#holds", &holds)))
	assert.Regexp(t, `methyleugenol, eu\s+not shown to hold: unknown in black-carrot-concentrate`, holds)
	assert.Regexp(t, `quassin, eu\s+0\.347 of 0\.5 mg/kg`, holds)
	photograph(t, ctx, "brief")
	least := 66.0
	require.NoError(t, chromedp.Run(ctx,
		setValue("#t-bitterness-min", "66"),
		chromedp.Evaluate(`document.getElementById("t-bitterness-min").dispatchEvent(new Event("input"))`, nil),
		chromedp.Poll(`document.getElementById("state").textContent === "Changed, not saved"`, nil),
		textOf("#cost", &cost)))
	most := 75.0
	assert.Contains(t, cost, costOf(t, server, &Question{File: "bitter-orange.toml", Targets: map[string]Span{"bitterness": {&least, &most}}}))

	// Saving shows the lines first, writes them, and keeps the rest of the file.
	before, err := os.ReadFile(filepath.Join(folder, "bitter-orange.toml"))
	require.NoError(t, err)
	var shown string
	require.NoError(t, chromedp.Run(ctx,
		click("#save"), visible("dialog"),
		textOf("dialog pre", &shown)))
	assert.Contains(t, shown, "- min = 62")
	assert.Contains(t, shown, "+ min = 66")
	photograph(t, ctx, "save")
	require.NoError(t, chromedp.Run(ctx,
		click("#write"), gone("dialog"),
		chromedp.Poll(`document.getElementById("state").textContent.startsWith("Saved")`, nil)))
	after, err := os.ReadFile(filepath.Join(folder, "bitter-orange.toml"))
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(string(before), "min = 62", "min = 66", 1), string(after))
	kept, err := os.ReadFile(filepath.Join(folder, "bitter-orange.toml.bak"))
	require.NoError(t, err)
	assert.Equal(t, string(before), string(kept))

	// What cannot be met says so, with a way out as a button that leads to a recipe.
	require.NoError(t, chromedp.Run(ctx,
		setValue("#t-bitterness-min", "5000"),
		setValue("#t-bitterness-max", ""),
		chromedp.Evaluate(`for (const side of ["min","max"]) document.getElementById("t-bitterness-"+side).dispatchEvent(new Event("input"))`, nil),
		visible(`//h2[contains(., "cannot be met")]`)))
	photograph(t, ctx, "conflict")
	require.NoError(t, chromedp.Run(ctx,
		click(`//button[contains(., "Do this")]`),
		visible("#cost")))

	// A file that another program changed meanwhile is not overwritten.
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bitter-orange.toml"), append(after, "# a note\n"...), 0o644))
	require.NoError(t, chromedp.Run(ctx,
		click("#save"),
		visible(`//li[contains(., "changed by someone else")]`)))

	// The curve of an attribute, and how sure the recipe is.
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate("http://"+server.hosts[0]+"/#demo:gentian-cordial"), chromedp.Reload(),
		visible("#cost"), settled(),
		click(`#t-bitterness .boxes button`),
		visible("#t-bitterness img"),
		click(`//button[contains(., "How sure?")]`),
		visible("#sure img")))
	photograph(t, ctx, "curve")
	assert.Empty(t, noise)
}

// costOf returns the cost that the command would print for a question.
func costOf(t *testing.T, s *Server, q *Question) string {
	t.Helper()
	var out strings.Builder
	_, err := s.blend(context.Background(), q, &out)
	require.NoError(t, err)
	var answer struct {
		Answer struct {
			Cost float64 `json:"cost"`
		} `json:"answer"`
	}
	require.NoError(t, json.Unmarshal([]byte(out.String()), &answer))
	return strconv.FormatFloat(answer.Answer.Cost, 'f', 4, 64)
}

// A batch is planned, shown as it is printed, written, and not over what holds something else without a question.
func TestABatchInABrowser(t *testing.T) {
	ctx := browser(t)
	folder := startFolder(t)
	server, _ := onDay(t, folder)
	var cost, without string
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()), visible("table"), settled(),
		click(`//a[@href="#brief.toml"]`), visible("#cost"), settled(),
		click(`//a[contains(., "Plan a batch")]`), visible("#batch-cost"),
		setValue("#litres", "250"), chromedp.Evaluate(`document.getElementById("litres").dispatchEvent(new Event("input"))`, nil),
		chromedp.Poll(`document.getElementById("batch-cost").textContent.startsWith("250")`, nil),
		textOf("#batch-cost", &cost)))
	assert.Contains(t, cost, "1000 bottles")
	photograph(t, ctx, "batch")
	require.NoError(t, chromedp.Run(ctx,
		click(`[data-lot="LJ-2611"]`),
		visible(`//td[contains(., "left out")]`),
		textOf("#batch-cost", &without),
		click(`[data-lot="LJ-2611"]`),
		gone(`//td[contains(., "left out")]`)))
	assert.NotEqual(t, cost, without)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "brief-2026-11-27-a.html"), []byte("my own"), 0o644))
	require.NoError(t, chromedp.Run(ctx,
		click("#write-batch"), visible("dialog")))
	photograph(t, ctx, "replace")
	require.NoError(t, chromedp.Run(ctx,
		click("#agree"),
		visible(`//p[contains(., "Written: brief-2026-11-27-a.html")]`)))
	kept, err := os.ReadFile(filepath.Join(folder, "brief-2026-11-27-a.html.bak"))
	require.NoError(t, err)
	assert.Equal(t, "my own", string(kept))
	assert.FileExists(t, filepath.Join(folder, "brief-2026-11-27-a.toml"))
}

// A record is filled in with large boxes, one step at a time; a page opened later goes on where the file stands.
func TestARecordInABrowser(t *testing.T) {
	ctx := browser(t)
	folder := startFolder(t)
	server, c := onDay(t, folder)
	name := plannedBatch(t, c, server)
	enter := func(title, value string) chromedp.Tasks {
		return chromedp.Tasks{
			visible(`//h2[contains(., "` + title + `")]`),
			setValue("#value", value),
			chromedp.Evaluate(`document.getElementById("value").dispatchEvent(new Event("input"))`, nil),
		}
	}
	next := click("#write-down")
	address := "http://" + server.hosts[0] + "/#record/brief.toml/" + name
	var check, verdict string
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()), visible(`//a[contains(., "brief-2026-11-27-a")]`)))
	photograph(t, ctx, "batches")
	require.NoError(t, chromedp.Run(ctx,
		click(`//a[contains(., "brief-2026-11-27-a")]`),
		visible("#by"), sendKeys("#by", "Ines"), next,
		enter("water", "94.2"), next,
		enter("sugar", "9,2"),
		chromedp.Poll(`document.getElementById("check").textContent.includes("Check it")`, nil),
		textOf("#check", &check),
		textOf("#verdict", &verdict)))
	assert.Contains(t, check, "+1.62 kg against the plan")
	assert.Contains(t, verdict, "Misses the brief")
	photograph(t, ctx, "record")
	require.NoError(t, chromedp.Run(ctx,
		enter("sugar", "7,58"), sendKeys("#lot-used", "S-77"), next,
		enter("citric-acid", "466"), next, visible(`//h2[contains(., "lemon-juice")]`),
		// The page is closed and opened again.
		chromedp.Navigate("about:blank"), chromedp.Navigate(address),
		enter("lemon-juice", "2009 g"), next,
	))
	text, err := os.ReadFile(filepath.Join(folder, name))
	require.NoError(t, err)
	for _, line := range []string{`by = "Ines"`, "grams = 94200", "grams = 7580", `lot_used = "S-77"`, "grams = 466"} {
		assert.Contains(t, string(text), line)
	}
	steps := chromedp.Tasks{}
	for _, x := range [][2]string{{"gentian-root", "35.36"}, {"spent plants", "0.104"}, {"Litres", "100.2"}, {"°Bx", "7.8"}, {"acidity", "5.64"}, {"pH", "2.4"}, {"Bottles", "398"}} {
		steps = append(steps, enter(x[0], x[1]), next)
	}
	var booked string
	require.NoError(t, chromedp.Run(ctx, steps,
		visible("#book"), click("#book"),
		visible("#booked"),
		textOf("#booked", &booked), textOf("#verdict", &verdict)))
	assert.Contains(t, booked, "lot LJ-2611, taken")
	assert.Contains(t, verdict, "Meets the brief")
	photograph(t, ctx, "record-end")
}

// A lot is held on the shelf with a reason, another one comes in, and a batch is followed to its lots.
func TestTheShelfInABrowser(t *testing.T) {
	ctx := browser(t)
	folder := startFolder(t)
	server, c := onDay(t, folder)
	fill(t, c, server, plannedBatch(t, c, server), `,"weighed":{"lemon-juice/LJ-2611":2009},"draw":true`)
	var trace string
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()), visible(`//a[contains(., "lots.toml")]`),
		click(`//a[contains(., "lots.toml")]`),
		visible(`[data-change="LJ-2611"]`), click(`[data-change="LJ-2611"]`),
		visible("#reason"), sendKeys("#reason", "a smell")))
	photograph(t, ctx, "change")
	require.NoError(t, chromedp.Run(ctx,
		click("#change-lot"),
		visible(`//strong[contains(., "is held (a smell)")]`),
		click("details.add summary"),
		sendKeys("#add-number", "S-77"), sendKeys("#add-ingredient", "sugar"), sendKeys("#add-kg", "25")))
	photograph(t, ctx, "add")
	require.NoError(t, chromedp.Run(ctx,
		click("#add-lot"),
		visible(`[data-trace="S-77"]`),
		click(`[data-trace="LJ-2611"]`),
		visible(`//h4[contains(., "brief-2026-11-27-a")]`),
		textOf("#trace", &trace)))
	assert.Contains(t, trace, "2.0090")
	photograph(t, ctx, "shelf")
}

// What would change if something were short or dearer; recipes side by side; a label.
func TestWhatIfInABrowser(t *testing.T) {
	ctx := browser(t)
	server, _ := onDay(t, startFolder(t))
	var drift string
	choose := func(id, value string) chromedp.Action { return setValue("#"+id, value) }
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()), visible("table"), settled(),
		click(`//a[@href="#demo%3Abitter-orange"]`), visible("#cost"), settled(),
		click("#pin"),
		click("#short"), visible("#short-name"), choose("short-name", "gentian-root"),
		click("#whatif-ask"), visible("#swapped")))
	photograph(t, ctx, "short")
	require.NoError(t, chromedp.Run(ctx,
		click("#withhold"), chromedp.Poll(`document.getElementById("state").textContent === "Changed, not saved"`, nil),
		click("#pin"),
		visible(".drift"), textOf(".drift", &drift)))
	assert.NotEqual(t, "0", drift)
	photograph(t, ctx, "pins")
	require.NoError(t, chromedp.Run(ctx,
		click("#dearer"), visible("#price-name"), choose("price-name", "quassia-wood"), choose("price-move", "10..40"),
		click("#whatif-ask"), visible("#repriced")))
	photograph(t, ctx, "price")
	require.NoError(t, chromedp.Run(ctx,
		click("#other"), visible("#other-count"),
		click("#whatif-ask"), visible("#whatif-answer table")))
	photograph(t, ctx, "others")
	require.NoError(t, chromedp.Run(ctx,
		click(`//a[@href="#label/demo%3Abitter-orange"]`), visible(".label"), settled()))
	photograph(t, ctx, "label")
}

// A made batch is released in somebody's name.
func TestARegisterInABrowser(t *testing.T) {
	ctx := browser(t)
	server, c := onDay(t, registering(t, "register.txt"))
	fill(t, c, server, plannedBatch(t, c, server), wholeBatch("2.4")+`,"draw":true`)
	require.NoError(t, chromedp.Run(ctx,
		chromedp.Navigate(server.Address()), visible(`//a[contains(., "register.txt")]`),
		click(`//a[contains(., "register.txt")]`),
		visible("[data-batch]"), click("[data-batch]"),
		visible(`#decide [name="by"]`), sendKeys(`#decide [name="by"]`, "Jonas")))
	photograph(t, ctx, "register")
	require.NoError(t, chromedp.Run(ctx,
		click(`[data-what="released"]`),
		visible(`//p[contains(., "is released by Jonas on 2026-11-27")]`)))
}
