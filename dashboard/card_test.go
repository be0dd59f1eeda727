package dashboard

import (
	"testing"

	"github.com/chromedp/chromedp"

	"pawl/rules"
)

// On a phone what happened, what to try and both buttons are in sight at once,
// and only then the rest. The order is the same to a keyboard and a reader.
func TestCardFitsAPhone(t *testing.T) {
	p := newPageTest(t, ratchetStory("", ""))
	const order = `"line-said card-act card-then card-movers card-summary seen not-now".split(" ").map(id => document.getElementById(id))`
	p.waitFor(order + `.every((e, i, all) => i === 0 || all[i - 1].compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING)`)
	p.do(chromedp.EmulateViewport(390, 844))
	p.waitFor(`innerWidth === 390 && document.querySelector("footer").getBoundingClientRect().height < 56`)
	p.checkTargets()
	p.waitFor(`(foot => ` + order + `.every(e => e.getBoundingClientRect().bottom < foot))
		(document.querySelector("footer").getBoundingClientRect().top)`)
	p.waitFor(order + `.every((e, i, all) => i === 0 || e.id === "not-now" || all[i - 1].getBoundingClientRect().bottom <= e.getBoundingClientRect().top)`)
}

// Whatever it says, the phone's foot stays one low line.
func TestPhonesFootStaysLow(t *testing.T) {
	p := newPageTest(t, calmStory())
	p.do(chromedp.EmulateViewport(390, 844))
	const low = `document.querySelector("footer").getBoundingClientRect().height < 56 && document.documentElement.scrollWidth <= innerWidth && `
	p.waitFor(low + `innerWidth === 390`)
	p.do(click("#mark"))
	p.waitFor(low + `document.getElementById("line-said").textContent.startsWith("Marked.")`)
}

// A whisper is one sentence; who asks for more keeps it while beats go on, and
// the next whisper is one sentence again.
func TestWhisperSaysMoreWhenAsked(t *testing.T) {
	st := whisperStory()
	p := newPageTest(t, st)
	if got, want := p.text(`document.getElementById("line").innerText.replace(/\s*\n\s*/g, " | ")`), "Piano and accordion went up one after another, by 1.5 dB each over 48 s. | More"; got != want {
		t.Errorf("the line says %q, want %q", got, want)
	}
	p.do(click("#line-more"))
	p.waitFor(`document.getElementById("card-act").innerText.startsWith("Bring the piano") && document.getElementById("card-kind").textContent.startsWith("In passing")`)
	p.do(click("#card-summary"))
	p.waitFor(`document.getElementById("card-rest").innerText.startsWith("From the faders +1.6 dB, from the stage −0.2 dB: the total is 1.4 dB louder")`)
	st.now.Line = again(st.now.Line, func(f *rules.Finding) { f.What = append(f.What, quoted("It grew.")) })
	p.story.change(st.now)
	p.waitFor(`document.getElementById("card-rest").innerText.endsWith("It grew.") && document.getElementById("card-behind").open`)
	p.do(click("#card-close"))
	p.waitFor(`document.getElementById("card-place").hidden && document.getElementById("line-more").ariaExpanded === "false"`)
	p.do(click("#line-more"))
	st.now.Line = finding(7, "silence", rules.Whisper, 0, rules.Said{What: quotedAll("The organ pad is silent.")})
	p.story.change(st.now)
	p.waitFor(`document.getElementById("line").innerText.trim() === "The organ pad is silent." && document.getElementById("card-place").hidden`)
}
