package dashboard

import (
	"bytes"
	"fmt"
	"path"
	"regexp"
	"strings"
)

var (
	// What a module needs when it runs; a type in a comment is nothing.
	jsImport = regexp.MustCompile(`(?m)^import\s+(?:(?:(\w+)|\{([^}]*)\})\s+from\s+)?"(\.[^"]+)";`)

	jsExport  = regexp.MustCompile(`(?m)^export ((?:async function|function|class|const) (\w+))`)
	jsExports = regexp.MustCompile(`(?m)^export \{([^}]*)\};?$`)

	// What is left of a module that takes or gives in a way that join does not know.
	jsUnknown = regexp.MustCompile(`(?m)^(?:import|export)\b.*`)

	pageModule = regexp.MustCompile(`<script type="module" src="\{\{assets\}\}/([^"]+)"></script>`)
	pageSheets = regexp.MustCompile(`(?:<link rel="stylesheet" href="\{\{assets\}\}/[^"]+">\s*)+`)
	pageSheet  = regexp.MustCompile(`href="\{\{assets\}\}/([^"]+)"`)
)

// importsOf are the modules that one needs, by their names.
func importsOf(name string, text []byte) []string {
	var out []string
	for _, m := range jsImport.FindAllSubmatch(text, -1) {
		out = append(out, path.Join(path.Dir(name), string(m[3])))
	}
	return out
}

// join makes one file of all the modules that a page needs and one of its sheets, puts them
// into made, and gives the page that asks for those. A browser opens six connections and
// asks each for one file at a time: for forty files that takes longer than all else of a
// first visit. The modules are served by themselves too, and are what is written and read.
func join(name string, page []byte, files, made map[string][]byte) []byte {
	page = pageModule.ReplaceAllFunc(page, func(script []byte) []byte {
		first := string(pageModule.FindSubmatch(script)[1])
		whole := strings.TrimSuffix(first, ".js") + ".joined.js"
		made[whole] = joinModules(first, files)
		return bytes.Replace(script, []byte(first), []byte(whole), 1)
	})
	return pageSheets.ReplaceAllFunc(page, func(links []byte) []byte {
		var sheets []byte
		for _, m := range pageSheet.FindAllSubmatch(links, -1) {
			sheets = append(sheets, files[string(m[1])]...)
		}
		// Beside the sheets, so that the type that they name is found from here as well.
		whole := strings.TrimSuffix(name, ".html") + ".joined.css"
		made[whole] = sheets
		return fmt.Appendf(nil, "<link rel=\"stylesheet\" href=\"{{assets}}/%s\">\n  ", whole)
	})
}

// joinModules is a module behind all that it needs, each once, in the order in which they would
// have run. Each is a function of its own that gives what the module exports: since none
// needs itself by way of others, that is all there by the time that it is taken.
func joinModules(first string, files map[string][]byte) []byte {
	var out bytes.Buffer
	known := map[string]string{} // what a module's exports are called
	var add func(name string)
	add = func(name string) {
		if known[name] != "" {
			return
		}
		for _, other := range importsOf(name, files[name]) {
			add(other)
		}
		known[name] = fmt.Sprint("m", len(known))
		fmt.Fprintf(&out, "// %s\nconst %s = (() => {\n%s})();\n", name, known[name], asFunction(name, string(files[name]), known))
	}
	add(first)
	return out.Bytes()
}

// asFunction is a module's text as that of a function that returns what it exports. It panics
// if it does not know how: the modules are part of the program.
func asFunction(name, text string, known map[string]string) string {
	var gives []string
	text = jsImport.ReplaceAllStringFunc(text, func(one string) string {
		m := jsImport.FindStringSubmatch(one)
		takes := strings.ReplaceAll(m[2], " as ", ": ")
		switch {
		case m[1] != "":
			takes = "default: " + m[1]
		case takes == "": // it is there for what it does, and that is done
			return ""
		}
		return fmt.Sprintf("const {%s} = %s;", takes, known[path.Join(path.Dir(name), m[3])])
	})
	text = jsExport.ReplaceAllStringFunc(text, func(one string) string {
		m := jsExport.FindStringSubmatch(one)
		gives = append(gives, m[2])
		return m[1]
	})
	text = jsExports.ReplaceAllStringFunc(text, func(one string) string {
		for given := range strings.SplitSeq(jsExports.FindStringSubmatch(one)[1], ",") {
			own, called, renamed := strings.Cut(strings.TrimSpace(given), " as ")
			if renamed {
				own = called + ": " + own
			}
			gives = append(gives, own)
		}
		return ""
	})
	if left := jsUnknown.FindString(text); left != "" {
		panic(fmt.Sprintf("join %s: %s", name, left))
	}
	return text + "\nreturn {" + strings.Join(gives, ", ") + "};\n"
}
