package recording

import (
	"strings"
	"testing"
)

func TestSportFromText(t *testing.T) {
	type what struct {
		sport  Sport
		indoor bool
	}
	for text, want := range map[string]what{
		"": {Other, false}, "brunch": {Other, false}, "Motorcycle": {Other, false}, "golf course": {Other, false},
		"Radfahren": {Cycling, false}, "FAHRRAD": {Cycling, false}, "Laufen": {Running, false}, "Joggen": {Running, false},
		"Wandern": {Walking, false}, "Gehen": {Walking, false}, "Vélo": {Cycling, false}, "velo": {Cycling, false},
		"VÉLO": {Cycling, false}, "Ve\u0301lo": {Cycling, false}, "Cyclisme": {Cycling, false},
		"Course à pied": {Running, false}, "Marche": {Walking, false}, "Marche à pied": {Walking, false}, "Randonnée": {Walking, false},
		"Ciclismo": {Cycling, false}, "Bici": {Cycling, false}, "bici da corsa": {Cycling, false}, "Correr": {Running, false},
		"Corsa": {Running, false}, "Camminata": {Walking, false}, "Caminar": {Walking, false}, "Fietsen": {Cycling, false},
		"Hardlopen": {Running, false}, "Wandelen": {Walking, false}, "Outdoor Cycle": {Cycling, false}, "Indoor Cycle": {Cycling, true},
		"Natación": {Swimming, false}, "Löpning": {Running, false}, "Løb": {Running, false},
		"virtual ride": {Cycling, true}, "VirtualRide": {Cycling, true}, "virtual_ride": {Cycling, true},
		"Ciclismo interior": {Cycling, true}, "Laufband": {Running, true}, "cinta de correr": {Running, true},
		"elliptical trainer": {Elliptical, true}, "Vélo elliptique": {Elliptical, false}, "éBikeRide": {Cycling, false},
	} {
		sport, indoor := SportFromText(text)
		if got := (what{sport, indoor}); got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}

// TestSportNames: each word names one sport, and is written as words are looked
// up.
func TestSportNames(t *testing.T) {
	seen := map[string]Sport{}
	for sport, names := range sportNames {
		for _, word := range strings.Fields(names) {
			if other, ok := seen[word]; ok {
				t.Errorf("%q is %s and %s", word, other, sport)
			}
			seen[word] = sport
			if w := words(word); len(w) != 1 || w[0] != word {
				t.Errorf("%q is looked up as %q", word, w)
			}
		}
	}
}
