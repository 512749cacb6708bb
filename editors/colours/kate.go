package colours

import (
	"encoding/xml"
	"fmt"
	"strings"
)

// Kate is the syntax definition for Kate and what else uses KSyntaxHighlighting.
func Kate(w Words) (string, error) {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE language>
<!-- Made by "go test ./editors/colours -update" out of the tables of the language. -->
<language name="Pintle" section="Other" extensions="*.pintle" mimetype="text/x-pintle" version="1" kateversion="5.62" casesensitive="1">
  <highlighting>
`)
	for _, l := range []struct {
		name  string
		words []string
	}{{"operators", w.Operators}, {"clauses", w.Clauses}, {"colours", w.Colours}, {"choices", w.Choices}} {
		fmt.Fprintf(&b, "    <list name=%q>\n", l.name)
		for _, word := range l.words {
			fmt.Fprintf(&b, "      <item>%s</item>\n", word)
		}
		b.WriteString("    </list>\n")
	}
	var failed error
	expr := func(attribute, pattern, more string) {
		var p strings.Builder
		if err := xml.EscapeText(&p, []byte(pattern)); err != nil {
			failed = err
		}
		fmt.Fprintf(&b, "        <RegExpr attribute=%q context=\"#stay\" String=\"%s\"%s/>\n", attribute, p.String(), more)
	}
	b.WriteString(`    <contexts>
      <context name="Statement" attribute="Plain" lineEndContext="#stay">
        <StringDetect attribute="Documentation" context="Documentation" String="##"/>
        <DetectChar attribute="Comment" context="Comment" char="#"/>
        <DetectChar attribute="Text" context="Text" char="&quot;"/>
        <DetectChar attribute="Plain" context="#stay" char="{" beginRegion="body"/>
        <DetectChar attribute="Plain" context="#stay" char="}" endRegion="body"/>
`)
	expr("Kind", `(?:`+alternatives(w.Kinds)+`)`+wordEnds, ` firstNonSpace="true"`)
	expr("Number", numBegins+`[+-]?\d+(?:\.\d+)?(?![\w.])`, "")
	expr("Unit", `(?:(?<=\d)|(?<=\d ))(?:`+alternatives(w.Units)+`)(?!\w)`, "")
	b.WriteString(`        <keyword attribute="Operator" context="#stay" String="operators"/>
        <keyword attribute="Clause" context="#stay" String="clauses"/>
        <keyword attribute="Colour" context="#stay" String="colours"/>
        <keyword attribute="Choice" context="#stay" String="choices"/>
      </context>
      <context name="Comment" attribute="Comment" lineEndContext="#pop">
        <IncludeRules context="##Comments"/>
      </context>
      <context name="Documentation" attribute="Documentation" lineEndContext="#pop"/>
      <context name="Text" attribute="Text" lineEndContext="#pop">
        <DetectChar attribute="Text" context="#pop" char="&quot;"/>
      </context>
    </contexts>
    <itemDatas>
      <itemData name="Plain" defStyleNum="dsNormal"/>
      <itemData name="Kind" defStyleNum="dsKeyword"/>
      <itemData name="Clause" defStyleNum="dsAttribute"/>
      <itemData name="Operator" defStyleNum="dsOperator"/>
      <itemData name="Colour" defStyleNum="dsConstant"/>
      <itemData name="Choice" defStyleNum="dsConstant"/>
      <itemData name="Number" defStyleNum="dsDecVal"/>
      <itemData name="Unit" defStyleNum="dsDataType"/>
      <itemData name="Text" defStyleNum="dsString"/>
      <itemData name="Comment" defStyleNum="dsComment"/>
      <itemData name="Documentation" defStyleNum="dsDocumentation"/>
    </itemDatas>
  </highlighting>
  <general>
    <comments>
      <comment name="singleLine" start="#"/>
    </comments>
    <keywords casesensitive="1" weakDeliminator=".-+" additionalDeliminator=""/>
    <folding indentationsensitive="0"/>
  </general>
</language>
`)
	return b.String(), failed
}
