package journal

// Tree reads the YAML of a case file into maps, lists, texts and nils, for
// comparison with other readers.
func Tree(data []byte) (any, error) {
	src, err := clean(data)
	if err != nil {
		return nil, err
	}
	root, err := parseYAML(src)
	if err != nil {
		return nil, err
	}
	return root.tree(), nil
}

func (n *node) tree() any {
	switch n.kind {
	case word:
		return n.text
	case mapping:
		m := make(map[string]any, n.pairs())
		for i := range n.pairs() {
			m[n.key(i).text] = n.val(i).tree()
		}
		return m
	case sequence:
		list := make([]any, len(n.items))
		for i := range n.items {
			list[i] = n.items[i].tree()
		}
		return list
	}
	return nil
}
