package main

import (
	"saltmark/internal/guide"
	"saltmark/internal/terms"
)

// fragments gives, of each published code system in use, the codes of the tables with the
// notice that goes with them.
func fragments() []node {
	var systems []node
	for _, p := range guide.Published {
		var concepts []node
		for _, e := range terms.Entries() {
			if e.System == p.URL {
				concepts = append(concepts, concept(e.Code, e.Display()))
			}
		}
		systems = append(systems, codeSystem(p.ID, p.URL, "fragment", p.Notice, concepts))
	}
	return systems
}

func codeSystem(id, url, content, notice string, concepts []node) node {
	system := node{
		"resourceType": "CodeSystem", "id": id, "url": url, "status": "active",
		"content": content, "caseSensitive": true, "concept": concepts,
	}
	if notice != "" {
		system["copyright"] = notice
	}
	return system
}

func concept(code, display string) node {
	c := node{"code": code}
	if display != "" {
		c["display"] = display
	}
	return c
}
