package page

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// moves moves the least of an attribute to and fro and tells for each move how many milliseconds went by until the
// recipe that follows was drawn.
const moves = `(async (name, low, high, count) => {
	const box = document.querySelector('fieldset[data-name="' + name + '"] input[type=number][data-side=min]'), times = [];
	for (let n = 0; n < count; n++) {
		const drawn = new Promise((done) => { const o = new MutationObserver(() => { o.disconnect(); requestAnimationFrame(() => setTimeout(done)); }); o.observe(document.getElementById("recipe"), { childList: true }); });
		const begin = performance.now();
		box.value = (low + (high - low) * ((n * 7) % 20) / 20).toFixed(3);
		box.dispatchEvent(new Event("input", { bubbles: true }));
		await drawn;
		times.push(performance.now() - begin);
	}
	return times;
})`

// TestLatency measures the page where BITTERSUM_LATENCY says how many moves: it asserts no time.
func TestLatency(t *testing.T) {
	count, err := strconv.Atoi(os.Getenv("BITTERSUM_LATENCY"))
	if err != nil || count < 1 {
		t.Skip("BITTERSUM_LATENCY says no number of moves")
	}
	s, _ := onDay(t, startFolder(t))
	ctx := browser(t)
	var paint float64
	require.NoError(t, chromedp.Run(ctx, chromedp.Navigate(s.Address()), settled(),
		chromedp.Evaluate(`performance.getEntriesByName("first-contentful-paint")[0].startTime`, &paint)))
	t.Logf("first paint: %.0f ms", paint)
	require.NoError(t, chromedp.Run(ctx, click(`//a[text()="Bitter-orange aperitif soda"]`), visible("#cost"), settled()))
	heap := func() (used float64) {
		require.NoError(t, chromedp.Run(ctx, chromedp.ActionFunc(func(ctx context.Context) error { return heapprofiler.CollectGarbage().Do(ctx) }),
			chromedp.Evaluate(`performance.memory.usedJSHeapSize / 1048576`, &used)))
		return used
	}
	before := heap()
	var times []float64
	for done := 0; done < count; done += 200 {
		var some []float64
		require.NoError(t, chromedp.Run(ctx, chromedp.Evaluate(moves+fmt.Sprintf(`("bitterness", 55, 70, %d)`, min(200, count-done)), &some,
			func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) })))
		times = append(times, some...)
	}
	slices.Sort(times)
	t.Logf("%d moves: median %.1f ms, 99 of 100 below %.1f ms, longest %.1f ms; script's memory %.1f MB before, %.1f MB after", len(times), times[len(times)/2], times[len(times)*99/100], times[len(times)-1], before, heap())
}
