package dashboard

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/cdproto/profiler"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"

	"pawl/rules"
	"pawl/rules/desk"
)

// busyStory is a loud song on a desk of 64 inputs with ten minutes of tide behind it: a card
// of many moves, eight groups, and a hand that never rests.
func busyStory() story {
	st := manyStory()
	st.name = "busy"
	st.now.Card = ratchetCard()
	return st
}

// goOn is a story so many beats later, with what came since the beat before. What it shows are
// means of ten seconds and quantiles of twenty, so they move by tenths of a decibel in a second:
// here the large number about twice in a second, twice as often as in the demo, and each group
// every few seconds, which there hardly move.
func (st story) goOn(beats int) (Now, []rules.Entry) {
	now := st.now
	since := float64(beats) / 10
	now.T += moment(since)
	now.At += since
	breath := func(of, every float64) desk.DB { return desk.DB(of * math.Sin(2*math.Pi*since/every)) }
	now.Split.Faders += breath(0.3, 41)
	now.Split.Stage += breath(0.8, 17) + breath(0.1, 5)
	now.Rise = now.Split.Total()
	now.Total = now.Mark.Total + desk.DBFS(now.Rise)
	now.Causes = splitFigures(now.Split)
	now.Causes.ID = st.now.Causes.ID
	now.Lead, now.Rest = glance(now.Split)
	now.Groups = slices.Clone(now.Groups)
	for i := range now.Groups {
		now.Groups[i].Median = max(0, now.Groups[i].Median+breath(0.5, 37+float64(i)))
		now.Groups[i].High = max(now.Groups[i].High, now.Groups[i].Median)
	}
	var entries []rules.Entry
	if beats%10 == 0 {
		entries = append(entries, aSecond(storyNow+since, now.Split))
	}
	if beats%40 == 0 {
		entries = append(entries, moved(storyNow+since, fmt.Sprintf("input %d", 1+beats/40%64), 1))
	}
	for i, e := range entries {
		e.Head().N = uint64(10000 + 2*beats + i)
	}
	return now, entries
}

// play goes on with a story at its own pace for so many beats.
func (s serving) play(st story, first, beats int) {
	every := time.NewTicker(beat)
	defer every.Stop()
	for i := range beats {
		<-every.C
		now, entries := st.goOn(first + i)
		s.Publish(now, entries, false)
	}
}

// TestWatchFrames is a measure and no test: what a frame of the operator's page costs, at ten
// in a second, by the browser's own figures. Times are those that the page's thread, and then
// all of its process, had a core.
//
//	go test ./dashboard -run TestWatchFrames -frames 300 -v
func TestWatchFrames(t *testing.T) {
	if *frames == 0 {
		t.Skip("-frames was not given")
	}
	calm := busyStory()
	calm.name, calm.now.Card = "without a card", nil
	for _, st := range []story{calm, busyStory()} {
		p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{})}
		p.server.Publish(st.now, st.entries, true)
		p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()))
		p.waitFor(`document.querySelector("#tide canvas") !== null && document.fonts.status === "loaded"`)
		p.server.play(st, 1, 30) // what is compiled, is compiled now
		before := p.spent()
		p.server.play(st, 31, *frames)
		after := p.spent()
		t.Logf("%s:", st.name)
		for _, name := range []string{"TaskDuration", "ScriptDuration", "RecalcStyleDuration", "LayoutDuration", "whole process", "GPU"} {
			t.Logf("  %s %.2f ms a frame", name, 1000*(after[name]-before[name])/float64(*frames))
		}
		t.Logf("  %.1f style recalculations and %.1f layouts a frame", (after["RecalcStyleCount"]-before["RecalcStyleCount"])/float64(*frames), (after["LayoutCount"]-before["LayoutCount"])/float64(*frames))
		p.profile(func() { p.server.play(st, 31+*frames, *frames/2) })
	}
}

// What a beat of a busy service has the page do, by counts that are the same on any machine.
// Ten seconds of it, drawn beat by beat: no node is made, the tide is drawn every other second, and
// most beats have nothing styled or laid out.
func TestBeatsAskLittle(t *testing.T) {
	const beats = 100
	st := busyStory()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{})}
	p.do(chromedp.Func(countWork), chromedp.EmulateViewport(1180, 820))
	p.server.Publish(st.now, st.entries, true)
	p.do(chromedp.Navigate(p.server.url()))
	p.waitFor(`document.querySelector("#tide canvas") !== null && document.fonts.status === "loaded"`)
	next := func(first, last int) {
		t.Helper()
		for i := first; i < last; i++ {
			drawn := p.number("work.drawn")
			now, entries := st.goOn(i)
			p.server.Publish(now, entries, true)
			p.waitFor(fmt.Sprintf("work.drawn > %v", drawn))
		}
	}
	next(1, 21) // what is there once for all, such as the places of the steps, is there now
	browser := p.metrics()
	p.do(chromedp.Evaluate[chromedp.Void](`work.nodes = work.attributes = work.texts = work.tides = work.bytes = 0`))
	next(21, 21+beats)
	after := p.metrics()
	for _, test := range []struct {
		what       string
		is, most   float64
		mustBeSeen bool // or nothing was counted
	}{
		{"nodes made", p.number("work.nodes"), 5, false},
		{"attributes written", p.number("work.attributes"), 2 * beats, true},
		{"texts written", p.number("work.texts"), 1.5 * beats, true},
		{"tides drawn", p.number("work.tides"), beats/20 + 3, true},
		{"bytes of the longest frame", p.number("work.bytes"), 8000, true},
		{"styles asked for", after["RecalcStyleCount"] - browser["RecalcStyleCount"], beats / 2, true},
		{"layouts", after["LayoutCount"] - browser["LayoutCount"], beats / 2, true},
	} {
		t.Logf("%d beats: %v %s", beats, test.is, test.what)
		if test.is > test.most || test.mustBeSeen && test.is == 0 {
			t.Errorf("%d beats: %v %s, want some if any are due and at most %v", beats, test.is, test.what, test.most)
		}
	}
}

// countWork has every page count, as work, what it does to its document.
func countWork(ctx context.Context, t *chromedp.Target) error {
	_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: `
		globalThis.work = { drawn: 0, nodes: 0, attributes: 0, texts: 0, tides: 0, bytes: 0 };
		const soon = queueMicrotask, parse = JSON.parse, clear = CanvasRenderingContext2D.prototype.clearRect;
		globalThis.queueMicrotask = act => soon(() => { act(); work.drawn++; });
		JSON.parse = text => { work.bytes = Math.max(work.bytes, text.length); return parse(text); };
		CanvasRenderingContext2D.prototype.clearRect = function (...all) { work.tides++; clear.apply(this, all); };
		new MutationObserver(all => {
			for (const one of all) {
				work.nodes += one.addedNodes.length;
				work.attributes += one.type === "attributes";
				work.texts += one.type === "characterData";
			}
		}).observe(document, { childList: true, attributes: true, characterData: true, subtree: true });`})
	return err
}

// spent are the browser's counts of the page, by the time that its thread had a core, with
// those of the page's whole process and of the one that paints.
func (p pageTest) spent() map[string]float64 {
	p.Helper()
	all := map[string]float64{}
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks}); err != nil {
			return err
		}
		got, err := cdp.Call(ctx, t, performance.GetMetrics, cdp.Empty{})
		for _, m := range got.Metrics {
			all[m.Name] = m.Value
		}
		return err
	}))
	processes, err := chromedp.CallBrowser(p.tab, systeminfo.GetProcessInfo, cdp.Empty{})
	if err != nil {
		p.Fatal(err)
	}
	for _, one := range processes.ProcessInfo {
		all[map[string]string{"renderer": "whole process", "GPU": "GPU"}[one.Type]] += one.CPUTime
	}
	return all
}

// profile prints which functions took the most of what do lasts.
func (p pageTest) profile(do func()) {
	p.Helper()
	call := func(act func(ctx context.Context, t *chromedp.Target) error) { p.Helper(); p.do(chromedp.Func(act)) }
	call(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, profiler.Enable, cdp.Empty{}); err != nil {
			return err
		}
		if _, err := cdp.Call(ctx, t, profiler.SetSamplingInterval, profiler.SetSamplingIntervalParams{Interval: 200}); err != nil {
			return err
		}
		_, err := cdp.Call(ctx, t, profiler.Start, cdp.Empty{})
		return err
	})
	do()
	took := map[string]int64{}
	var busy int64
	call(func(ctx context.Context, t *chromedp.Target) error {
		got, err := cdp.Call(ctx, t, profiler.Stop, cdp.Empty{})
		if err != nil {
			return err
		}
		names := map[int64]string{}
		for _, n := range got.Profile.Nodes {
			names[n.ID] = fmt.Sprintf("%s %s:%d", cmp.Or(n.CallFrame.FunctionName, "(nameless)"), path.Base(n.CallFrame.URL), n.CallFrame.LineNumber+1)
		}
		for i, id := range got.Profile.Samples {
			if name := names[id]; !strings.HasPrefix(name, "(idle)") {
				took[name] += got.Profile.TimeDeltas[i]
				busy += got.Profile.TimeDeltas[i]
			}
		}
		return nil
	})
	most := slices.SortedFunc(maps.Keys(took), func(a, b string) int { return cmp.Compare(took[b], took[a]) })
	for _, name := range most[:min(14, len(most))] {
		p.Logf("  %4.1f %% of the time in %s", 100*float64(took[name])/float64(busy), name)
	}
}
