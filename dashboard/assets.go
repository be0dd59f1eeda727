package dashboard

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/http"
	"path"

	"pawl/rules/words"
)

//go:embed web
var web embed.FS

// assets is the pages and their files. They are served under one hash of them all,
// so that modules find each other by plain relative names, a browser may keep
// every file for ever, and a new Pawl is a new address.
type assets struct {
	hash  string
	pages map[string][]byte // the HTML files with their assets' address filled in
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

// loadAssets puts labels into the pages, for until a frame brings the reader's own. It
// panics if the embedded files cannot be read: they are part of the program.
func loadAssets(speaker *words.Speaker) assets {
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
	inPage, inCoach := labelsOf(speaker.Labels()), labelsOf(speaker.CoachLabels())
	sum.Write(inCoach)
	a.hash = hex.EncodeToString(sum.Sum(nil)[:8])
	for name, data := range a.files {
		if path.Ext(name) != ".html" {
			continue
		}
		labels := inPage
		if name == "coach.html" {
			labels = inCoach
			data = bytes.ReplaceAll(data, []byte("{{watch}}"), watchOf(a.files["index.html"]))
		}
		page := bytes.ReplaceAll(data, []byte("{{assets}}"), []byte("/assets/"+a.hash))
		a.pages[name] = bytes.ReplaceAll(page, []byte("{{labels}}"), labels)
	}
	return a
}

// labelsOf are labels as they stand in a page.
func labelsOf(labels map[string]string) []byte {
	text, err := json.Marshal(labels) // which escapes what would end the script that it stands in
	if err != nil {
		panic(fmt.Sprintf("write the page's labels: %v", err))
	}
	return text
}

// watchOf is what the coach's page shows of the operator's, which is written once.
func watchOf(page []byte) []byte {
	_, rest, begun := bytes.Cut(page, []byte("<!-- also on the coach's page -->"))
	part, _, ended := bytes.Cut(rest, []byte("<!-- to here -->"))
	if !begun || !ended {
		panic("index.html does not say what of it is on the coach's page")
	}
	return part
}

func (a assets) servePage(name string) http.HandlerFunc {
	page := a.pages[name]
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Cache-Control", "no-cache")
		_, _ = w.Write(page)
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
