package dashboard

import (
	"context"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

const mostOnTheWire = 95_000 // bytes of script, style and type, headers and the chart's library with them

// TestWatchIsLight asks for all that the operator's page loads as a browser does, and
// counts what the answers weigh.
func TestWatchIsLight(t *testing.T) {
	p := newPageTest(t, ratchetStory("", ""))
	loaded := strings.Fields(p.text(`performance.getEntriesByType("resource").map(e => new URL(e.name).pathname).join(" ")`))
	html := string(p.server.assets.pages["en/index.html"])
	weights := map[string]int{}
	for _, file := range append(loaded, "/") {
		if file == "/live" {
			continue
		}
		// What the page names itself is asked for at once, and nothing is found late.
		if file != "/" && !strings.Contains(html, `"`+file+`"`) && path.Ext(file) != ".woff2" {
			t.Errorf("the page loads %s and does not name it", file)
		}
		weights[path.Ext(file)] += p.weight(file)
	}
	sum := weights[".js"] + weights[".css"] + weights[".woff2"]
	t.Logf("%d answers: %d bytes of script, style and type, and %d of the page itself: %v", len(loaded), sum, weights[""], weights)
	if sum > mostOnTheWire || weights[".js"] == 0 || weights[".css"] == 0 || weights[".woff2"] == 0 {
		t.Errorf("script, style and type weigh %d bytes, want some of each and at most %d", sum, mostOnTheWire)
	}
}

// weight is of an answer with its headers, as it goes over the wire to a browser.
func (p pageTest) weight(file string) int {
	p.Helper()
	r, err := http.NewRequest("GET", strings.TrimSuffix(p.server.url(), "/")+file, nil)
	if err != nil {
		p.Fatal(err)
	}
	r.Header.Set("Accept-Encoding", "gzip, deflate") // what browsers send without TLS; and Go leaves the answer packed
	answer, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		p.Fatal(err)
	}
	defer answer.Body.Close()
	all, err := httputil.DumpResponse(answer, true)
	if err != nil || answer.StatusCode != http.StatusOK {
		p.Fatal(file, answer.Status, err)
	}
	return len(all)
}

func TestPackedForWhoTakesIt(t *testing.T) {
	s := New(Options{})
	script := "/assets/" + s.assets.hash + "/app.js"
	for _, test := range []struct {
		path, accepts, packed, vary string
	}{
		{"/", "gzip, deflate", "gzip", "Accept-Encoding"},
		{"/", "", "", "Accept-Encoding"},
		{script, "deflate, GZIP;q=0.5", "gzip", "Accept-Encoding"},
		{script, "gzip;q=0, deflate", "", "Accept-Encoding"},
		{script, "gzip; q=0.00", "", "Accept-Encoding"},
		{"/assets/" + s.assets.hash + "/type/regular.woff2", "gzip", "", ""}, // is packed by itself
	} {
		r := httptest.NewRequest("GET", "http://127.0.0.1"+test.path, nil)
		r.Header.Set("Accept-Encoding", test.accepts)
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		if h := w.Header(); w.Code != 200 || h.Get("Content-Encoding") != test.packed || !varies(h, test.vary) {
			t.Errorf("%s for %q: %d, packed %q, varies by %q; want %q, and varying by %q", test.path, test.accepts, w.Code, h.Get("Content-Encoding"), h.Values("Vary"), test.packed, test.vary)
		}
	}
}

// varies says whether what was answered is another for another value of this header of the
// asking; without a header it must not vary by how it is packed.
func varies(h http.Header, by string) bool {
	packing := slices.Contains(h.Values("Vary"), "Accept-Encoding")
	return by == "Accept-Encoding" && packing || by == "" && !packing
}

// A page that a browser has is not sent again.
func TestPageIsKnownAgain(t *testing.T) {
	s := New(Options{})
	first := ask(s, "localhost", "/")
	r := httptest.NewRequest("GET", "http://localhost/", nil)
	r.Header.Set("If-None-Match", first.Header().Get("ETag"))
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	if w.Code != http.StatusNotModified || w.Body.Len() != 0 {
		t.Errorf("got %d with %d bytes, want 304 and none", w.Code, w.Body.Len())
	}
}

// TestFirstFigures is a measure and no test: how long it takes until the first figures
// are painted, by the browser's own clock, with nothing of the page kept and then with its
// files kept. Each visit from nothing is that of a browser that was never here.
//
//	go test ./dashboard -run TestFirstFigures -frames 9 -v
func TestFirstFigures(t *testing.T) {
	if *frames == 0 {
		t.Skip("-frames was not given")
	}
	s := serve(t, "127.0.0.1:0", Options{})
	defer s.tell(busyStory()).stop()
	took := map[string][]float64{}
	for range *frames {
		p := pageTest{T: t, tab: newBrowser(t), server: s}
		p.do(chromedp.Func(watchFigures), chromedp.EmulateViewport(1180, 820))
		for _, how := range []string{"from nothing", "again"} {
			p.do(chromedp.Navigate(s.url()))
			p.waitFor(`globalThis.figures > 0`)
			took[how] = append(took[how], p.number(`figures`))
			took[how+", of it the page itself"] = append(took[how+", of it the page itself"], p.number(`performance.getEntriesByType("navigation")[0].responseEnd`))
		}
	}
	for _, how := range slices.Sorted(maps.Keys(took)) {
		all := took[how]
		slices.Sort(all)
		t.Logf("%s: %.0f ms, median of %d from %.0f to %.0f", how, all[len(all)/2], len(all), all[0], all[len(all)-1])
	}
}

// watchFigures has every page note when the screen first showed its figures, as figures: the
// time that the browser itself gives for the first picture with that text in it (W3C Element
// Timing, renderTime).
func watchFigures(ctx context.Context, t *chromedp.Target) error {
	_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
		document.addEventListener("readystatechange", () => document.getElementById("rise")?.setAttribute("elementtiming", "figures"));
		new PerformanceObserver(l => { for (const e of l.getEntries()) globalThis.figures ??= e.renderTime; }).observe({type: "element", buffered: true});`})
	return err
}

func (p pageTest) number(expression string) float64 {
	p.Helper()
	got, err := chromedp.Run(p.tab, chromedp.Evaluate[float64](expression))
	if err != nil {
		p.Fatal(err)
	}
	return got
}
