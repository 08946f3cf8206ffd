package policyfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"github.com/vanwright/vanwright/data"
)

// parse reads the text of a settings file into its keys and what stands behind
// them: text as it was written, or a list of such. YAML's own reading of numbers
// is not asked for, since it takes 0350 for 232 and 1_000 for 1000.
func parse(text []byte) (map[string]any, error) {
	root, err := document(text)
	if err != nil || root == nil {
		return nil, err
	}
	if root.Kind != yaml.MappingNode {
		return nil, fmt.Errorf("line %d: expected lines of a key, a colon and a value", root.Line)
	}
	known := slices.Clone(runKeys)
	for _, k := range Keys {
		known = append(known, k.Name)
	}
	settings := map[string]any{}
	at := map[string]int{}
	for i := 0; i+1 < len(root.Content); i += 2 {
		name, node := root.Content[i], root.Content[i+1]
		key := strings.ToLower(name.Value)
		if name.Kind != yaml.ScalarNode || !slices.Contains(known, key) {
			return nil, fmt.Errorf("line %d: unknown key %q%s", name.Line, name.Value, data.DidYouMean(key, known))
		}
		if line, twice := at[key]; twice {
			return nil, fmt.Errorf("line %d: the key %q is given twice, first on line %d", name.Line, name.Value, line)
		}
		at[key] = name.Line
		if settings[key], err = value(node); err != nil {
			return nil, fmt.Errorf("line %d: %s: %w", node.Line, key, err)
		}
	}
	return settings, nil
}

// document returns the one document of a text; nil where it is empty.
func document(text []byte) (*yaml.Node, error) {
	decoder := yaml.NewDecoder(bytes.NewReader(text))
	var doc, second yaml.Node
	switch err := decoder.Decode(&doc); {
	case errors.Is(err, io.EOF):
		return nil, nil
	case err != nil:
		return nil, err
	}
	switch err := decoder.Decode(&second); {
	case err == nil:
		return nil, fmt.Errorf("line %d: a second document begins; expected one", second.Line)
	case !errors.Is(err, io.EOF):
		return nil, err
	}
	root := doc.Content[0]
	if isNull(root) {
		return nil, nil
	}
	return root, nil
}

// value reads what stands behind a key; nil where nothing does.
func value(node *yaml.Node) (any, error) {
	if node.Kind == yaml.AliasNode {
		node = node.Alias
	}
	switch {
	case isNull(node):
		return nil, nil
	case node.Kind == yaml.ScalarNode:
		return node.Value, nil
	case node.Kind != yaml.SequenceNode:
		return nil, errors.New("expected a value or a list of values")
	}
	list := make([]any, len(node.Content))
	for i, item := range node.Content {
		if item.Kind != yaml.ScalarNode {
			return nil, errors.New("expected a list of plain values")
		}
		list[i] = item.Value
	}
	return list, nil
}

func isNull(node *yaml.Node) bool {
	return node.Kind == yaml.ScalarNode && node.Tag == "!!null"
}
