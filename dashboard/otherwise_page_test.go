package dashboard

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"pawl/daemon/otherwise"
	"pawl/rules"
)

// A service is judged again by the limits that somebody types, and both lists stand side by
// side; limits that cannot be used are refused in the words of the check.
func TestReviewByOtherLimits(t *testing.T) {
	said := func(from float64) *otherwise.Said {
		return &otherwise.Said{Finding: ratchetCard(), From: moment(from), Until: moment(from + 60), Weight: rules.Nudge, Shown: true}
	}
	asked := make(chan string, 2)
	again := func(_ context.Context, service int64, limits []byte) (Compared, error) {
		asked <- fmt.Sprint(service, " ", string(limits))
		if strings.Contains(string(limits), "soon") {
			return Compared{}, ErrLimits.Because("line 3: \"soon\"; want a number with its unit")
		}
		return Compared{
			Comparison: otherwise.Comparison{Both: 1, OnlyOther: 1, Rows: []otherwise.Row{{Then: said(120), Other: said(95)}, {Other: said(300)}}},
			Notes:      []string{"The capture lacks 3 packets."},
		}, nil
	}
	p := pageTest{T: t, tab: newBrowser(t)}
	p.server = serve(t, "127.0.0.1:0", Options{Review: of(ratchetEvening)(t), Otherwise: again}) // the browser itself complains of the refusal below, so nobody watches its console
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()+"review/1"))
	p.waitFor(oneShown)
	p.do(click("#otherwise summary"), click("#otherwise-form button"))
	select {
	case got := <-asked:
		if want := "1 limits:\n  ratchet:\n    whisper: 2 dB"; got != want {
			t.Errorf("asked %q, want %q", got, want)
		}
	case <-time.After(20 * time.Second):
		t.Fatal("nothing was asked")
	}
	p.waitFor(`document.getElementById("otherwise-table").checkVisibility() && document.getElementById("otherwise-state").textContent === "Done. The capture lacks 3 packets."`)
	if got, want := p.text(`document.getElementById("otherwise-caption").textContent`), "1 finding in both, 0 only then, 1 only by these limits"; got != want {
		t.Errorf("the caption says %q, want %q", got, want)
	}
	p.waitFor(`[...document.querySelectorAll("#otherwise-rows tr")].map(tr => [...tr.cells].map(c => c.textContent.includes("went up") ? "said" : c.textContent.length < 9 ? c.textContent : "").join()).join(";").endsWith(",nothing,said")`)
	p.shootInto("review-otherwise")
	t.Run("axe", func(t *testing.T) { p.checkAxe(axeSource(t)) })
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("otherwise-limits").value = "limits: {ratchet: {whisper: soon}}"`), click("#otherwise-form button"))
	p.waitFor(`document.getElementById("otherwise-refused").textContent.includes("want a number with its unit") && document.getElementById("otherwise-table").hidden`)
}
