package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// TestDemoInABrowser is the whole way as a person meets it: the program itself, a
// real browser, a ratchet, the card, Seen, the program killed and started again.
// PAWL_SHOTS names a folder for pictures of what was there to see.
func TestDemoInABrowser(t *testing.T) {
	tab := newTab(t)
	port, err := freePort()
	if err != nil {
		t.Fatal(err)
	}
	demo := []string{"demo", "--speed", "12", "--port", port}
	first := startPawl(t, demo...)
	url := first.page()

	see(t, tab, "the page and then the card",
		chromedp.EmulateViewport(1180, 820),
		chromedp.Navigate(url),
		chromedp.WaitVisible("#verdict"),
		chromedp.WaitVisible("#card"),
		chromedp.WaitVisible("#seen"))
	shoot(t, tab, "card")
	see(t, tab, "the card go when it is seen",
		chromedp.Click("#seen"),
		chromedp.WaitNotVisible("#card"))
	shoot(t, tab, "seen")

	first.kill()
	see(t, tab, "the page to say that it is old", chromedp.WaitVisible("#line[data-tone=old]"))
	shoot(t, tab, "old")
	startPawl(t, demo...).page()
	see(t, tab, "the page to come back by itself",
		chromedp.WaitVisible("#line:not([data-tone=old])"),
		chromedp.WaitVisible("#card"))
	shoot(t, tab, "back")
}

// kill ends the program as a power cut would.
func (p *pawlProcess) kill() {
	p.cmd.Process.Kill()
	p.cmd.Wait()
}

// newTab is a page in a Chromium that keeps nothing and speaks to nobody else.
func newTab(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("PAWL_REQUIRE_BROWSER") != "" {
			t.Fatal("chromium is required here: install Debian's chromium")
		}
		t.Skip("chromium is not installed: the page was not looked at")
	}
	flags := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.UserDataDir(t.TempDir()))
	alloc, stop := chromedp.NewExecAllocator(t.Context(), flags...)
	t.Cleanup(stop)
	tab, stopTab := chromedp.NewContext(alloc)
	t.Cleanup(stopTab)
	// The browser lives as long as the context of its first call, so that one has no
	// time limit.
	if err := chromedp.Do(tab); err != nil {
		t.Fatalf("start chromium: %v", err)
	}
	return tab
}

// patience is how long anything on the page may take to be there: the card is to
// come within 90 s of its ratchet.
const patience = 90 * time.Second

func see(t *testing.T, tab context.Context, what string, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	limited, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	if err := chromedp.Do(limited, actions...); err != nil {
		t.Fatalf("waiting to see %s: %v", what, err)
	}
}

func shoot(t *testing.T, tab context.Context, name string) {
	t.Helper()
	dir := os.Getenv("PAWL_SHOTS")
	if dir == "" {
		return
	}
	still := chromedp.Evaluate[chromedp.Void](`Promise.all(document.getAnimations().map(a => a.finished)).then(() => 0)`, chromedp.EvalAwaitPromise)
	if err := chromedp.Do(tab, still); err != nil {
		t.Fatal(err)
	}
	png, err := chromedp.Run(tab, chromedp.CaptureScreenshot())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		t.Fatal(err)
	}
}
