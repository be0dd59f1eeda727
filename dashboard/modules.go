package dashboard

import (
	"fmt"
	"path"
	"regexp"
	"strings"
)

var (
	// What a module needs when it runs; a type in a comment is nothing.
	jsImport = regexp.MustCompile(`(?m)^(?:import|export)\b[^;]*?from\s+"(\.[^"]+)"|^import\s+"(\.[^"]+)"`)

	pageModule = regexp.MustCompile(`<script type="module" src="\{\{assets\}\}/([^"]+)"></script>`)
)

// importsOf are the modules that one needs, by their names.
func importsOf(name string, text []byte) []string {
	var out []string
	for _, m := range jsImport.FindAllSubmatch(text, -1) {
		out = append(out, path.Join(path.Dir(name), string(m[1])+string(m[2])))
	}
	return out
}

// preload names every module that a page needs in the page itself. A browser then asks
// for all of them at once, instead of finding each in the one before it.
func preload(page []byte, files map[string][]byte) []byte {
	return pageModule.ReplaceAllFunc(page, func(script []byte) []byte {
		first := string(pageModule.FindSubmatch(script)[1])
		needed := []string{first}
		known := map[string]bool{first: true}
		var links strings.Builder
		for i := 0; i < len(needed); i++ {
			for _, name := range importsOf(needed[i], files[needed[i]]) {
				if !known[name] {
					known[name] = true
					needed = append(needed, name)
					fmt.Fprintf(&links, "<link rel=\"modulepreload\" href=\"{{assets}}/%s\">\n  ", name)
				}
			}
		}
		return append([]byte(links.String()), script...)
	})
}
