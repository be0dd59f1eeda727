package house

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"
)

// TestSchemaKnowsAnOrder: an editor takes the demo's house with its running order, and
// underlines what is wrong with one.
func TestSchemaKnowsAnOrder(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("house.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("house.json")
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile("../practice/harbour-hall.house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for order, good := range map[string]bool{
		"": true, "order: []": true, "order: [{name: a, kind: quiet, scene: 3, plays: {harp: pad}}]": true,
		"order: [{name: a, kind: song}]": false, "order: [{kind: music}]": false, "order: [{name: a, kind: music, scene: four}]": false,
		"order: [{name: a, kind: music, plays: {harp: solo}}]": false, "order: [{name: a, kind: music, key: 3}]": false,
	} {
		house := map[string]any{}
		if err := yaml.Unmarshal(src, &house); err != nil {
			t.Fatal(err)
		}
		if err := yaml.Unmarshal([]byte(order), &house); err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(plain(t, house)); (err == nil) != good {
			t.Errorf("%q: %v, want it good: %v", order, err, good)
		}
	}
}

// plain is what JSON would hold of a value; its keys are text, as those of YAML need not be.
func plain(t *testing.T, v any) any {
	t.Helper()
	b, err := json.Marshal(texts(v))
	if err != nil {
		t.Fatal(err)
	}
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func texts(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k := range v {
			v[k] = texts(v[k])
		}
	case map[any]any:
		out := map[string]any{}
		for k := range v {
			out[fmt.Sprint(k)] = texts(v[k])
		}
		return out
	case []any:
		for i := range v {
			v[i] = texts(v[i])
		}
	}
	return v
}
