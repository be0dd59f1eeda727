package dashboard

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"strings"

	"pawl/rules/words"
)

//go:embed web
var web embed.FS

// assets is the pages and their files. They are served under one hash of them all,
// so that modules find each other by plain relative names, a browser may keep
// every file for ever, and a new Pawl is a new address.
type assets struct {
	hash  string
	pages map[string][]byte // the HTML files as they are sent, by language and name: "es/review.html"
	files map[string][]byte
}

// The server's own table, because a machine's may lack or change an entry.
var contentTypes = map[string]string{
	".css":         "text/css; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".png":         "image/png",
	".svg":         "image/svg+xml",
	".txt":         "text/plain; charset=utf-8",
	".webmanifest": "application/manifest+json",
	".woff2":       "font/woff2",
}

// ownLabels are the pages that have a section of labels of their own besides "page", which
// all of them have.
var ownLabels = map[string]string{
	"review.html": "page-review", "service.html": "page-review", "linecheck.html": "page-line-check", "setup.html": "page-setup",
}

// loadAssets makes every page in every language, so that what stands on it is in the
// reader's own from its first byte on. It panics if the embedded files cannot be read:
// they are part of the program.
func loadAssets(languages *words.Catalogues) assets {
	a := assets{files: map[string][]byte{}, pages: map[string][]byte{}}
	sum := sha256.New()
	err := fs.WalkDir(web, "web", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := web.ReadFile(name)
		a.files[name[len("web/"):]] = data
		fmt.Fprintf(sum, "%s %d\n", name, len(data))
		sum.Write(data)
		return err
	})
	if err != nil {
		panic(fmt.Sprintf("read the embedded page: %v", err))
	}
	for _, l := range languages.Languages() {
		for name, data := range a.files {
			if path.Ext(name) == ".html" {
				a.pages[l.Tag+"/"+name] = inLanguage(string(data), languages, l.Tag, ownLabels[name])
			}
		}
		fmt.Fprint(sum, languages.For(l.Tag).LabelsOf(words.Pages...))
	}
	a.hash = hex.EncodeToString(sum.Sum(nil)[:8])
	for name, page := range a.pages {
		a.pages[name] = bytes.ReplaceAll(page, []byte("{{assets}}"), []byte("/assets/"+a.hash))
	}
	return a
}

// labelled is an element of a page that a label belongs to, up to the end of the text that
// begins it.
var labelled = regexp.MustCompile(`<[a-z0-9]+ [^>]*data-label="([a-z-]+)"[^>]*>[^<]*`)

// labelledBy is what a label is put into, where an element has it: else into its text.
var labelledBy = regexp.MustCompile(`(aria-label|content)="[^"]*"`)

// inLanguage is a page with its texts in a language, and with the labels that its scripts
// need: those of all pages and those of its own section.
func inLanguage(page string, languages *words.Catalogues, tag, own string) []byte {
	labels := languages.For(tag).LabelsOf("page", own, words.Glosses)
	page = labelled.ReplaceAllStringFunc(page, func(element string) string {
		text, known := labels[labelled.FindStringSubmatch(element)[1]]
		if !known {
			return element // which the tests do not let pass
		}
		text = html.EscapeString(text)
		if at := labelledBy.FindStringSubmatchIndex(element); at != nil {
			return element[:at[3]] + `="` + text + `"` + element[at[1]:]
		}
		return element[:strings.IndexByte(element, '>')+1] + text
	})
	inPage, err := json.Marshal(labels) // which escapes what would end the script that it stands in
	if err != nil {
		panic(fmt.Sprintf("write the page's labels: %v", err))
	}
	var choices strings.Builder
	for _, l := range languages.Languages() {
		selected := ""
		if l.Tag == tag {
			selected = " selected"
		}
		fmt.Fprintf(&choices, `<option value="%[1]s" lang="%[1]s"%[2]s>%[3]s</option>`, l.Tag, selected, html.EscapeString(l.Name))
	}
	return []byte(strings.NewReplacer(`<html lang="en">`, `<html lang="`+tag+`">`, "{{labels}}", string(inPage), "{{languages}}", choices.String()).Replace(page))
}

// servePage answers with a page in its reader's language.
func (s *Server) servePage(name string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("Vary", "Cookie") // which has the language
		_, _ = w.Write(s.assets.pages[s.speaker(r).Tag()+"/"+name])
	}
}

func (a assets) serveFile(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	data, found := a.files[name]
	kind, known := contentTypes[path.Ext(name)]
	if !found || !known || r.PathValue("hash") != a.hash {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	_, _ = w.Write(data)
}
