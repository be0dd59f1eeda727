package dashboard

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html"
	"io/fs"
	"maps"
	"net/http"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"pawl/rules/words"
)

//go:embed web
var web embed.FS

// assets is the pages and their files. They are served under one hash of them all,
// so that modules find each other by plain relative names, a browser may keep
// every file for ever, and a new Pawl is a new address.
type assets struct {
	hash   string
	pages  map[string][]byte // the HTML files as they are sent, by language and name: "es/review.html"
	files  map[string][]byte
	joined map[string][]byte // of files, all of a kind that a page needs
	packed map[string][]byte // pages and files by gzip, those that are the smaller for it
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

// files are read, joined and compressed once, however many servers there are; the pages ask for
// what is joined. It panics if the embedded files cannot be read: they are part of the program.
var files = sync.OnceValue(func() assets {
	plain, packed := map[string][]byte{}, map[string][]byte{}
	err := fs.WalkDir(web, "web", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := web.ReadFile(name)
		name = name[len("web/"):]
		plain[name] = data
		if _, served := contentTypes[path.Ext(name)]; served {
			pack(packed, name, data)
		}
		return err
	})
	if err != nil {
		panic(fmt.Sprintf("read the embedded page: %v", err))
	}
	pages, joined := map[string][]byte{}, map[string][]byte{}
	for name, data := range plain {
		if path.Ext(name) == ".html" {
			pages[name] = join(name, data, plain, joined)
		}
	}
	for name, data := range joined {
		pack(packed, name, data)
	}
	return assets{pages: pages, files: plain, joined: joined, packed: packed}
})

// pack keeps data as gzip, unless that saves little: pictures and fonts are compressed
// as they are. Browsers take no better form from a server without TLS.
func pack(packed map[string][]byte, name string, data []byte) {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression) // fails for no level that has a name
	_, _ = w.Write(data)                                  // memory takes everything
	_ = w.Close()
	if b.Len() < len(data)*9/10 {
		packed[name] = b.Bytes()
	}
}

// ownLabels are the pages that have a section of labels of their own besides "page", which
// all of them have.
var ownLabels = map[string]string{
	"review.html": "page-review", "service.html": "page-review", "linecheck.html": "page-line-check", "setup.html": "page-setup",
	"coach.html": "page-coach", "first.html": "page-first", "pair.html": "page-pair",
}

// ownAssets are those in the languages that Pawl has of its own, made once however many servers there are.
var ownAssets = sync.OnceValue(func() assets { return makeAssets(words.Own()) })

// loadAssets is every page in every language. Nobody may change what is in them.
func loadAssets(languages *words.Catalogues) assets {
	if languages == words.Own() {
		return ownAssets()
	}
	return makeAssets(languages)
}

// makeAssets makes every page in every language, so that what stands on it is in the
// reader's own from its first byte on.
func makeAssets(languages *words.Catalogues) assets {
	all := files()
	a := assets{files: all.files, joined: all.joined, packed: maps.Clone(all.packed), pages: map[string][]byte{}}
	sum := sha256.New()
	for _, part := range []map[string][]byte{a.files, a.joined} {
		for _, name := range slices.Sorted(maps.Keys(part)) {
			fmt.Fprintf(sum, "%s %d\n", name, len(part[name]))
			sum.Write(part[name])
		}
	}
	for _, l := range languages.Languages() {
		fmt.Fprint(sum, languages.For(l.Tag).LabelsOf(words.Pages...))
	}
	a.hash = hex.EncodeToString(sum.Sum(nil)[:8])
	for name, page := range all.pages {
		page = bytes.ReplaceAll(page, []byte("{{watch}}"), watchOf(a.files["index.html"]))
		page = bytes.ReplaceAll(page, []byte("{{assets}}"), []byte("/assets/"+a.hash))
		for _, l := range languages.Languages() {
			one := l.Tag + "/" + name
			a.pages[one] = inLanguage(string(page), languages, l.Tag, ownLabels[name])
			pack(a.packed, one, a.pages[one])
		}
	}
	return a
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
		one := s.speaker(r).Tag() + "/" + name
		// Whatever is in a page is in the hash; weak, because it goes out in two encodings.
		tag := `W/"` + s.assets.hash + "-" + s.speaker(r).Tag() + "-" + strings.TrimSuffix(name, ".html") + `"`
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("Vary", "Cookie") // which has the language
		w.Header().Set("ETag", tag)
		if r.Header.Get("If-None-Match") == tag {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		s.assets.send(w, r, one, s.assets.pages[one])
	}
}

func (a assets) serveFile(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	data, found := a.files[name]
	if !found {
		data, found = a.joined[name]
	}
	kind, known := contentTypes[path.Ext(name)]
	if !found || !known || r.PathValue("hash") != a.hash {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	for _, one := range forDocuments {
		w.Header().Del(one)
	}
	a.send(w, r, name, data)
}

// send writes a page or a file as it is, or packed for whoever takes that.
func (a assets) send(w http.ResponseWriter, r *http.Request, name string, data []byte) {
	if packed, smaller := a.packed[name]; smaller {
		w.Header().Add("Vary", "Accept-Encoding")
		if takesGzip(r) {
			w.Header().Set("Content-Encoding", "gzip")
			data = packed
		}
	}
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data)
}

// takesGzip is whether a request names gzip among what it accepts, with a weight above 0.
func takesGzip(r *http.Request) bool {
	for one := range strings.SplitSeq(strings.Join(r.Header.Values("Accept-Encoding"), ","), ",") {
		name, weight, weighed := strings.Cut(one, ";")
		if strings.EqualFold(strings.TrimSpace(name), "gzip") {
			return !weighed || strings.Trim(strings.TrimSpace(weight), "qQ=0. ") != ""
		}
	}
	return false
}
