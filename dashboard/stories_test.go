package dashboard

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

var storiesDir = flag.String("stories", "", "write a screenshot of every story to this folder")

// screen is a size that people see the pages at, in CSS pixels.
type screen struct {
	name          string
	width, height int64
}

var screens = []screen{{"tablet", 1180, 820}, {"upright", 820, 1180}, {"phone", 390, 844}, {"small", 320, 640}, {"zoomed", 590, 410}, {"wall", 1920, 1080}}

// TestStories renders the stories that strain the page, or all of them when they
// are wanted as pictures, on both screens. It fails if one does not fit the width;
// whether it is good to look at, a person decides:
//
//	go test ./dashboard -run TestStories -stories /tmp/stories
func TestStories(t *testing.T) {
	ctx := newBrowser(t)
	told := []story{longStory(), manyStory(), faultsStory()}
	if *storiesDir != "" {
		told = stories()
	}
	for _, st := range told {
		t.Run(st.name, func(t *testing.T) {
			s := serve(t, "127.0.0.1:0", Options{})
			defer s.tell(st).stop()
			tab, closeTab := chromedp.NewContext(ctx)
			defer closeTab()
			show(t, tab, s, st)
			onEach(t, tab, screens, st.name, func(*testing.T) {})
		})
	}
}

// onEach turns the tab into one screen after another, as a tablet is turned: the page is not
// loaded again. On each it must fit the width, whatever look wants besides, and its picture
// is taken if pictures are wanted.
func onEach(t *testing.T, tab context.Context, screens []screen, name string, look func(*testing.T)) {
	t.Helper()
	for _, screen := range screens {
		t.Run(screen.name, func(t *testing.T) {
			must(t, tab, chromedp.EmulateViewport(screen.width, screen.height), drawn)
			checkFits(t, tab)
			look(t)
			if *storiesDir != "" {
				shoot(t, tab, filepath.Join(*storiesDir, name+"-"+screen.name+".png"))
			}
		})
	}
}

// drawn waits until the page has been laid out and drawn anew.
var drawn = chromedp.Evaluate[chromedp.Void](`new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(0))))`, chromedp.EvalAwaitPromise)

// teller publishes what is so now ten times a second, as the daemon would.
type teller struct {
	next  chan Now // unbuffered; closed to end
	ended chan struct{}
}

// tell starts a story. Someone must stop it.
func (s serving) tell(st story) teller {
	s.Publish(st.now, st.entries, true)
	tell := teller{make(chan Now), make(chan struct{})}
	go tell.run(s, st.now)
	return tell
}

func (tell teller) run(s serving, now Now) {
	defer close(tell.ended)
	every := time.NewTicker(beat)
	defer every.Stop()
	for {
		select {
		case next, more := <-tell.next:
			if !more {
				return
			}
			now = next
			s.Publish(now, nil, true)
		case <-every.C:
			now.At += 0.001 // what is from now is from another moment than what was
			s.Publish(now, nil, false)
		}
	}
}

// change goes on with another moment, at once.
func (tell teller) change(now Now) { tell.next <- now }

func (tell teller) stop() { close(tell.next); <-tell.ended }

// show opens the operator's page on a tablet and does what the story says.
func show(t *testing.T, tab context.Context, s serving, st story) {
	t.Helper()
	must(t, tab, chromedp.EmulateViewport(1180, 820), chromedp.Navigate(s.url()),
		chromedp.Poll[chromedp.Void](fmt.Sprintf(`document.getElementById("time").textContent === %q`, st.clock())))
	switch st.then {
	case "open":
		must(t, tab, chromedp.Evaluate[chromedp.Void](`document.getElementById("card-summary").click()`), chromedp.Poll[chromedp.Void](`document.getElementById("card-behind").open`))
	case "more":
		must(t, tab, chromedp.Evaluate[chromedp.Void](`document.getElementById("line-more").click()`), chromedp.Poll[chromedp.Void](`!document.getElementById("card-place").hidden`))
	case "focus":
		must(t, tab, chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Tab), chromedp.Poll[chromedp.Void](`document.activeElement.id === "card-summary"`))
	case "stop":
		s.stop()
		must(t, tab, chromedp.Poll[chromedp.Void](`document.getElementById("line").dataset.tone === "old"`))
	}
}

func checkFits(t *testing.T, tab context.Context) {
	t.Helper()
	wide, err := chromedp.Run(tab, chromedp.Evaluate[bool](`document.documentElement.scrollWidth > innerWidth`))
	if err != nil {
		t.Fatal(err)
	}
	if wide {
		t.Error("the page is wider than the screen")
	}
}

func shoot(t *testing.T, tab context.Context, path string) {
	t.Helper()
	must(t, tab, chromedp.Evaluate[chromedp.Void](`Promise.all(document.getAnimations().map(a => a.finished)).then(() => 0)`, chromedp.EvalAwaitPromise))
	png, err := chromedp.Run(tab, chromedp.CaptureScreenshot())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, png, 0o644); err != nil {
		t.Fatal(err)
	}
}

func must(t *testing.T, tab context.Context, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(tab, actions...); err != nil {
		t.Fatal(err)
	}
}
