package dashboard

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"
)

//go:embed web
var web embed.FS

// assets is the pages and their files. They are served under one hash of them all,
// so that modules find each other by plain relative names, a browser may keep
// every file for ever, and a new Pawl is a new address.
type assets struct {
	hash   string
	pages  map[string][]byte // the HTML files with their assets' address filled in
	files  map[string][]byte
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

// files are read and compressed once, however many servers there are. It panics if the
// embedded files cannot be read: they are part of the program.
var files = sync.OnceValues(func() (plain, packed map[string][]byte) {
	plain, packed = map[string][]byte{}, map[string][]byte{}
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
	return plain, packed
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

// loadAssets puts labels into the pages, for until a frame brings the reader's own.
func loadAssets(labels map[string]string) assets {
	plain, packed := files()
	a := assets{files: plain, packed: maps.Clone(packed), pages: map[string][]byte{}}
	sum := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(plain)) {
		fmt.Fprintf(sum, "%s %d\n", name, len(plain[name]))
		sum.Write(plain[name])
	}
	inPage, err := json.Marshal(labels) // which escapes what would end the script that it stands in
	if err != nil {
		panic(fmt.Sprintf("write the page's labels: %v", err))
	}
	sum.Write(inPage)
	a.hash = hex.EncodeToString(sum.Sum(nil)[:8])
	for name, data := range plain {
		if path.Ext(name) == ".html" {
			page := bytes.ReplaceAll(preload(data, plain), []byte("{{assets}}"), []byte("/assets/"+a.hash))
			a.pages[name] = bytes.ReplaceAll(page, []byte("{{labels}}"), inPage)
			pack(a.packed, name, a.pages[name])
		}
	}
	return a
}

func (a assets) servePage(name string) http.HandlerFunc {
	// Whatever is in a page is in the hash; weak, because it goes out in two encodings.
	tag := `W/"` + a.hash + `"`
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("ETag", tag)
		if r.Header.Get("If-None-Match") == tag {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		a.send(w, r, name, a.pages[name])
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
