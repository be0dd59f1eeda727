package dashboard

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/chromedp"

	"pawl/rules"
)

// hours opens the operator's page on a busy service, and gives a way to let it go on by a
// number of seconds, each as one beat, as fast as the page takes them.
func hours(t *testing.T) (pageTest, func(seconds int)) {
	st := busyStory()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{})}
	p.server.Publish(st.now, st.entries, true)
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()))
	p.waitFor(`document.querySelector("#tide canvas") !== null`)
	second := 0
	return p, func(seconds int) {
		t.Helper()
		for last := second + seconds; second < last; {
			second++
			now, entries := st.goOn(10 * second)
			if second%60 == 0 { // a card goes, and another comes
				now.Card = again(now.Card, func(f *rules.Finding) { f.Number += second; f.N += uint64(second) })
			}
			now.Link.Packets = uint64(second)
			now.House = fmt.Sprint("second ", second)
			p.server.Publish(now, entries, true)
			if second%16 == 0 || second == last { // an outbox holds more
				// Asked in the same words each time: the browser keeps every script that it was given.
				for p.text(`document.getElementById("house").textContent`) != now.House {
					p.do(drawn)
				}
			}
		}
	}
}

// What the page holds does not grow with the service: a quarter of an hour more of it, once
// ten minutes are full, leaves as many nodes and listeners as there were.
func TestWatchDoesNotGrow(t *testing.T) {
	p, goOn := hours(t)
	goOn(120)
	before := p.held()
	goOn(900)
	after := p.held()
	for _, name := range []string{"Nodes", "JSEventListeners", "Documents"} {
		if after[name] > before[name]+8 {
			t.Errorf("%s: %v, and a quarter of an hour later %v", name, before[name], after[name])
		}
	}
}

// TestWatchMemory plays four hours of a service as fast as the page takes them, and looks what
// it holds after its garbage was collected. In the first quarter of an hour its ten minutes
// of tide fill, and what runs often is compiled; from then on it must not grow: after four
// hours it holds no more than a twentieth above what it held after one. It takes minutes, so
// it has to be asked for.
//
//	go test ./dashboard -run TestWatchMemory -frames 1 -v
func TestWatchMemory(t *testing.T) {
	if *frames == 0 {
		t.Skip("-frames was not given")
	}
	p, goOn := hours(t)
	heap := map[int]float64{}
	before := 0
	for _, minute := range []int{1, 15, 30, 60, 120, 180, 240} {
		goOn(60 * (minute - before))
		before = minute
		held := p.held()
		heap[minute] = held["JSHeapUsedSize"] / 1e6
		t.Logf("after %3d min: %.2f MB of heap, %.0f nodes, %.0f listeners", minute, heap[minute], held["Nodes"], held["JSEventListeners"])
	}
	if heap[240] > 1.05*heap[60] {
		t.Errorf("%.2f MB of heap after an hour and %.2f after four, want at most a twentieth more", heap[60], heap[240])
	}
}

// held is what the page holds once its garbage was collected.
func (p pageTest) held() map[string]float64 {
	p.Helper()
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, heapprofiler.CollectGarbage, cdp.Empty{})
		return err
	}))
	return p.metrics()
}
