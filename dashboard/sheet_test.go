package dashboard

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"pawl/rules/words"
)

// The sheet is kept where README.md links to it, for who has no Pawl running; it is made from
// the same words, and asks nobody for anything.
func TestSheetsAreMadeFromTheCatalogues(t *testing.T) {
	for _, language := range words.Own().Languages() {
		style := asset(t, "sheet.css")
		style = style[strings.Index(style, "@page"):] // the type is the browser's own there
		made, err := sheet(words.Own().For(language.Tag), nil, "", style)
		if err != nil {
			t.Fatal(err)
		}
		name := "sheet." + language.Tag + ".html"
		if *update {
			if err := os.WriteFile(name, made, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if had, err := os.ReadFile(name); err != nil || !bytes.Equal(had, made) {
			t.Errorf("%s is not what the catalogue says; run go test ./dashboard -run TestSheets -update (%v)", name, err)
		}
		if text := string(made); strings.Contains(text, "sheet.") || strings.Contains(text, "src=") || strings.Contains(text, "href=") {
			t.Errorf("%s lacks words, or asks somebody for something", name)
		}
	}
}

// TestSheetIsOneSheet of paper, A4 (ISO 216) and Letter (ANSI/ASME Y14.1), in each language,
// served and as it is kept; and it fits a phone's width.
func TestSheetIsOneSheet(t *testing.T) {
	p := pageTest{T: t, tab: newBrowser(t)}
	p.server = serve(t, "127.0.0.1:0", Options{})
	for _, language := range words.Own().Languages() {
		kept, err := filepath.Abs("sheet." + language.Tag + ".html")
		if err != nil {
			t.Fatal(err)
		}
		for from, url := range map[string]string{"served": p.server.url() + "sheet?lang=" + language.Tag, "kept": "file://" + kept} {
			p.do(chromedp.EmulateViewport(320, 640), chromedp.Navigate(url))
			p.waitFor(`document.documentElement.lang === "` + language.Tag + `" && document.querySelectorAll("h1").length === 1`)
			checkFits(t, p.tab)
			if from == "served" {
				t.Run("axe "+language.Tag, func(t *testing.T) { pageTest{T: t, tab: p.tab}.checkAxe(axeSource(t)) })
			}
			for paper, inches := range map[string]chromedp.PaperSize{"A4": {Width: 8.27, Height: 11.69}, "Letter": {Width: 8.5, Height: 11}} {
				pdf, err := chromedp.Run(p.tab, chromedp.PrintToPDF(chromedp.PDFPaper(inches)))
				if err != nil {
					t.Fatal(err)
				}
				if pages := bytes.Count(pdf, []byte("/Type /Page\n")); pages != 1 {
					t.Errorf("%s, %s, %s: %d pages, want 1", language.Tag, from, paper, pages)
				}
				if *storiesDir != "" {
					if err := os.WriteFile(filepath.Join(*storiesDir, "sheet-"+language.Tag+"-"+paper+".pdf"), pdf, 0o644); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
	}
}
