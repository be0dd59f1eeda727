package review

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/chromedp/chromedp"
)

// opensPage opens the golden evening's page in a browser, from a file, as somebody does
// to whom it was sent.
func opensPage(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("PAWL_REQUIRE_BROWSER") == "1" {
			t.Fatal("chromium is not installed, and PAWL_REQUIRE_BROWSER is 1")
		}
		t.Skip("chromium is not installed: the page was not looked at")
	}
	file := filepath.Join(t.TempDir(), "report.html")
	var page bytes.Buffer
	if err := Summarise(material(t, opened(t, golden(t)))[0], Options{}).HTML(&page); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, page.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	flags := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), flags...)
	t.Cleanup(stop)
	tab, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	if err := chromedp.Do(tab, chromedp.EmulateViewport(1180, 820), chromedp.Navigate("file://"+file)); err != nil {
		t.Fatal(err)
	}
	return tab
}

func evaluated(t *testing.T, tab context.Context, expression string) string {
	t.Helper()
	got, err := chromedp.Run(tab, chromedp.Evaluate[string](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// TestPageInABrowser: it asks for nothing, no part of it is wider than a phone but the
// charts that scroll by themselves, its arithmetic opens without a script, and it prints
// on a few sheets of either paper.
func TestPageInABrowser(t *testing.T) {
	tab := opensPage(t)
	if asked := evaluated(t, tab, `performance.getEntriesByType("resource").map(e => e.name).join(" ")`); asked != "" {
		t.Errorf("the page asked for %s", asked)
	}
	if err := chromedp.Do(tab, chromedp.EmulateViewport(390, 844)); err != nil {
		t.Fatal(err)
	}
	if wide := evaluated(t, tab, `document.documentElement.scrollWidth > 390 ? "page" : ""`); wide != "" {
		t.Error("the page is wider than a phone")
	}
	if small := evaluated(t, tab, `[...document.querySelectorAll("summary")].filter(e => e.getBoundingClientRect().height < 44).length + ""`); small != "0" {
		t.Errorf("%s things to open are too small to touch", small)
	}
	if err := chromedp.Do(tab, chromedp.Click("#f1 summary")); err != nil {
		t.Fatal(err)
	}
	if shown := evaluated(t, tab, `document.querySelector("#f1 details li").checkVisibility() + ""`); shown != "true" {
		t.Error("the moves of the first finding do not open")
	}
	for name, paper := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
		printed, err := chromedp.Run(tab, chromedp.PrintToPDF(chromedp.PDFPaper(paper)))
		if err != nil {
			t.Fatal(err)
		}
		if sheets := len(regexp.MustCompile(`/Type ?/Page\b[^s]`).FindAll(printed, -1)); sheets < 3 || sheets > 6 {
			t.Errorf("%d sheets of %s for an evening of 28 minutes, want 3 to 6", sheets, name)
		}
	}
}

// TestPageAxe: axe-core, if PAWL_AXE names its axe.min.js, finds nothing.
func TestPageAxe(t *testing.T) {
	path := os.Getenv("PAWL_AXE")
	if path == "" {
		t.Skip("PAWL_AXE does not name an axe.min.js: the page was not checked with it")
	}
	axe, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	tab := opensPage(t)
	evaluated(t, tab, string(axe)+`;""`)
	found := evaluated(t, tab, `axe.run({runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]})
		.then(r => r.violations.map(v => v.id + ": " + v.nodes.map(n => n.html).join(" ")).join("\n"))`)
	if found != "" {
		t.Error(found)
	}
}
