package dashboard

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto"
	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/chromedp"
)

// chromium is the one browser of all these tests, started by the first that wants it.
// Starting one for each would take longer than what most of them look at.
var chromium struct {
	sync.Once
	tab    context.Context // its first tab, in which nothing is opened
	failed error
	stop   func()
}

func TestMain(m *testing.M) {
	code := m.Run()
	if chromium.stop != nil {
		chromium.stop()
	}
	os.Exit(code)
}

// newBrowser is a tab of Chromium that shares nothing with any other test's, neither files
// kept nor cookies, and speaks to nobody; or it skips. The test's end closes it.
func newBrowser(t *testing.T) context.Context {
	t.Helper()
	path := findChromium()
	if path == "" {
		if os.Getenv("PAWL_REQUIRE_BROWSER") == "1" {
			t.Fatal("chromium is not installed, and PAWL_REQUIRE_BROWSER is 1")
		}
		t.Skip("chromium is not installed: the page was not looked at")
	}
	chromium.Do(func() { startChromium(path) })
	if chromium.failed != nil {
		t.Fatalf("start chromium: %v", chromium.failed)
	}
	ctx, cancel := chromedp.NewContext(chromium.tab, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx, chromedp.Func(letStayAwake)); err != nil {
		t.Fatalf("open a tab: %v", err)
	}
	return ctx
}

// findChromium is Chromium without windows if that is here, else the whole of it, which draws
// around each page a browser that nobody sees, at twice the cost; "" if neither is.
func findChromium() string {
	for _, name := range []string{"chromium-headless-shell", "chromium"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// letStayAwake lets pages keep the screen from sleeping, for which a browser without windows
// otherwise finds nobody to ask.
func letStayAwake(ctx context.Context, t *chromedp.Target) error {
	_, err := cdp.Call(ctx, t, browser.SetPermission, browser.SetPermissionParams{
		Permission: &browser.PermissionDescriptor{Name: "screen-wake-lock"}, Setting: browser.PermissionSettingGranted,
		BrowserContextID: chromedp.FromContext(ctx).BrowserContextID,
	})
	return err
}

func startChromium(path string) {
	keeps, err := os.MkdirTemp("", "pawl-chromium-")
	if err != nil {
		chromium.failed = err
		return
	}
	// Without windows it would fit letters to a screen's dots and make some lines longer.
	flags := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("font-render-hinting", "none"), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.UserDataDir(keeps), chromedp.Env("TZ=UTC"))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), flags...)
	tab, cancel := chromedp.NewContext(alloc)
	chromium.tab, chromium.failed = tab, chromedp.Do(tab)
	chromium.stop = func() {
		cancel()
		stop()
		_ = os.RemoveAll(keeps)
	}
}

// click presses what the selector finds once it stands still and nothing lies over it, in
// the same breath in which that was seen. chromedp's own click asks where it is and presses
// there later, when on a busy machine something else may have come to lie there. A press may
// lead to another page, and on a busy machine the browser may be there before it answers.
func click(selector string) chromedp.Action[chromedp.Void] {
	press := chromedp.Poll[chromedp.Void](fmt.Sprintf(`(selector => {
		const it = document.querySelector(selector);
		if (!it) return false;
		it.scrollIntoView({block: "nearest"});
		const {x, y, width, height} = it.getBoundingClientRect(), place = [selector, x, y, width, height].join();
		const still = window.placeBefore === place;
		window.placeBefore = place;
		if (!still || width === 0 || !it.contains(document.elementFromPoint(x + width / 2, y + height / 2))) return false;
		it.focus({preventScroll: true});
		it.click();
		return true;
	})(%q)`, selector))
	return func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		done, err := press(ctx, t)
		if wentOn(err) {
			err = nil
		}
		return done, err
	}
}

// wentOn tells whether the browser left the page in the middle of a question.
func wentOn(err error) bool {
	var said *cdproto.Error
	return errors.As(err, &said) && (strings.Contains(said.Message, "navigated") || strings.Contains(said.Message, "context"))
}

// serving is a Server that answers on a port of its own until stop.
type serving struct {
	*Server
	at      string // host:port
	stop    func()
	stopped func() bool
}

func (s serving) url() string { return "http://" + s.at + "/" }

// serve starts a server at address, such as "127.0.0.1:0", and checks that it ends cleanly.
func serve(t testing.TB, address string, o Options) serving {
	t.Helper()
	l, err := net.Listen("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	return serveOn(t, l, o)
}

// serveOn is serve on a listener.
func serveOn(t testing.TB, l net.Listener, o Options) serving {
	t.Helper()
	s := New(o)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l, nil) }()
	var stopped atomic.Bool
	stop := func() {
		if stopped.Swap(true) {
			return
		}
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Serve: %v", err)
		}
	}
	t.Cleanup(stop)
	return serving{s, l.Addr().String(), stop, stopped.Load}
}
