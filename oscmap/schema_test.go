package oscmap

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"

	"pawl/oscmap/sheet"
)

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("map.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("map.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestSchemaAgreesWithTheChecker runs both over every good and bad map, as a
// whole and part by part. The checker also sees what no schema can, so it is
// the reading of the file alone that must agree.
func TestSchemaAgreesWithTheChecker(t *testing.T) {
	schema := compiledSchema(t)
	var files []string
	for _, pattern := range []string{"../testdata/maps/*.yaml", formsDir + "/*.yaml", faultsDir + "/*.yaml", "../daemon/practice/*.map.yaml"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	good, bad := 0, 0
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, variant := range variants(t, src) {
			switch agree(t, schema, filepath.Base(name), variant) {
			case bothGood:
				good++
			case bothBad:
				bad++
			}
		}
	}
	if good < 150 || bad < 15 {
		t.Errorf("agreed on only %d good and %d bad maps", good, bad)
	}
}

type agreement int

const (
	notComparable agreement = iota
	bothGood
	bothBad
)

func agree(t *testing.T, schema *jsonschema.Schema, name string, src []byte) agreement {
	t.Helper()
	var doc any
	if yaml.Unmarshal(src, &doc) != nil {
		return notComparable // there is nothing for a schema to look at
	}
	schemaErr := schema.Validate(asJSON(doc))
	faults := sheet.Decode(name, src, &file{})
	for _, f := range faults {
		if unseenBySchema(f) {
			return notComparable
		}
	}
	if (schemaErr == nil) != (len(faults) == 0) {
		t.Errorf("%s\n%s\nschema: %v\nchecker: %v", name, src, schemaErr, faults)
	}
	if len(faults) > 0 {
		return bothBad
	}
	return bothGood
}

// unseenBySchema tells the faults that lie in how the file is written rather
// than in what it says, or that take more than a pattern to find.
func unseenBySchema(f sheet.Fault) bool {
	for _, s := range []string{"written twice", "an anchor", "an alias", "a tag", "the file is empty", "runs backwards",
		"beyond 99999", "more than 1024", "with 2 types", "leave out the zero", "without end"} {
		if strings.Contains(f.Text+f.Hint, s) {
			return true
		}
	}
	return false
}

// variants are the map, and the map once with each of its signals and asks
// alone, so that one fault does not hide the agreement on the others.
func variants(t *testing.T, src []byte) [][]byte {
	all := [][]byte{src}
	var doc map[string]any
	if yaml.Unmarshal(src, &doc) != nil || doc == nil {
		return all
	}
	one := func(key string, item any) {
		b, err := yaml.Marshal(map[string]any{"desk": "d", "signals": []any{}, key: item})
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, b)
	}
	signals, _ := doc["signals"].([]any)
	for _, s := range signals {
		one("signals", []any{s})
	}
	link, _ := doc["link"].(map[string]any)
	asks, _ := link["ask"].([]any)
	for _, a := range asks {
		one("link", map[string]any{"ask": []any{a}})
	}
	tapers, _ := doc["tapers"].(map[string]any)
	for name, points := range tapers {
		one("tapers", map[string]any{name: points})
	}
	return all
}

// asJSON gives a YAML value the types of JSON.
func asJSON(v any) any {
	switch v := v.(type) {
	case map[string]any:
		m := map[string]any{}
		for k, e := range v {
			m[k] = asJSON(e)
		}
		return m
	case map[any]any:
		m := map[string]any{}
		for k, e := range v {
			m[fmt.Sprint(k)] = asJSON(e)
		}
		return m
	case []any:
		l := make([]any, len(v))
		for i, e := range v {
			l[i] = asJSON(e)
		}
		return l
	case int:
		return json.Number(fmt.Sprint(v))
	case float64:
		if b, err := json.Marshal(v); err == nil {
			return json.Number(b)
		}
		return fmt.Sprint(v)
	}
	return v
}
