package recording

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// sportNames are the words by which writers name a sport, in lower case and
// without accents. Devices and services write them in the client's language:
// English, German, French, Italian, Spanish, Portuguese, Dutch and the
// Scandinavian ones, from dictionaries. Words that mean another sport in another
// of these languages, or none, are left out: French "course" (for which "pied"
// stands, of "course à pied"), Spanish "andar", Dutch "lopen", Danish "gang".
var sportNames = map[Sport]string{
	Running: "run running jog jogging treadmill laufen lauf joggen laufband pied footing " +
		"corsa correre correr carrera corrida hardlopen loopband tapis esteira lopning løb løping",
	Walking: "walk walking hike hiking trekking wandern wanderung gehen spaziergang marche randonnee promenade " +
		"camminata camminare passeggiata escursionismo caminar caminata senderismo marcha caminhada caminhar " +
		"wandelen wandeling promenad vandring gatur",
	Cycling: "bike biking cycle cycling ride bicycle spinning mountainbike mountainbiking mtb " +
		"radfahren radfahrt radtour rad fahrrad rennrad velo cyclisme vtt ciclismo bici bicicletta bicicleta " +
		"fietsen fiets wielrennen cykling cykel sykling sykkel",
	Rowing: "row rowing rudern aviron canottaggio remo roeien rodd roning roing",
	Swimming: "swim swimming schwimmen natation nuoto natacion nadar natacao zwemmen simning svømning " +
		"svømming",
	Elliptical: "elliptical ellipsentrainer crosstrainer elliptique ellittica eliptica eliptico",
	Transition: "transition",
}

// indoorWords say that a sport was done in place, likewise.
var indoorWords = strings.Fields("indoor virtual treadmill trainer spinning laufband loopband tapis cinta esteira " +
	"hometrainer heimtrainer virtuell virtuel virtuelle virtuale virtueel interieur interior")

// sportWords gives the sport that a word names.
var sportWords = func() map[string]Sport {
	sports := map[string]Sport{}
	for sport, names := range sportNames {
		for _, word := range strings.Fields(names) {
			sports[word] = sport
		}
	}
	return sports
}()

// SportFromText reads a sport written as free text, word by word: "Indoor
// Cycling", "road_biking", "VirtualRide" and "Course à pied" are all known by
// one of their words, the first if there are several, but for "elliptical",
// which tells more than the bicycle that some languages call the machine.
// Without a known word it is [Other].
func SportFromText(text string) (sport Sport, indoor bool) {
	sport = Other
	for _, word := range words(text) {
		indoor = indoor || slices.Contains(indoorWords, word)
		if known, ok := sportWords[word]; ok && (sport == Other || known == Elliptical) {
			sport = known
		}
	}
	return sport, indoor
}

// words splits at everything but letters, and before a capital that follows a
// small letter; in lower case and without accents, which many writers drop.
func words(text string) []string {
	var b strings.Builder
	small := false
	// Decomposed, an accent is a mark behind its letter.
	for _, r := range norm.NFD.String(text) {
		if unicode.Is(unicode.Mn, r) {
			continue
		}
		if unicode.IsUpper(r) && small {
			b.WriteByte(' ')
		}
		if !unicode.IsLetter(r) {
			r = ' '
		}
		b.WriteRune(r)
		small = unicode.IsLower(r)
	}
	return strings.Fields(strings.ToLower(b.String()))
}
