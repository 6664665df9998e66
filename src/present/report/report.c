/* The report, section by section. It asks nothing: analyse/report has. */
#include <stdlib.h>

#include "base/error.h"
#include "coaming/present.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"
#include "present/report_files.h"
#include "present/tell/air_words.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/flood_words.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"

static void put_head(const report *r)
{
    fputs("<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head>\n"
          "<meta charset=\"utf-8\"/>\n",
          r->out);
    markup_put(r->out,
               "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
               "style-src 'unsafe-inline'; script-src 'sha256-%s'; base-uri 'none'; "
               "form-action 'none'\"/>\n",
               report_js_hash);
    markup_put(r->out,
               "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
               "<meta name=\"color-scheme\" content=\"light dark\"/>\n"
               "<title>%s: state of her closures</title>\n<style>\n",
               r->ship->name);
    fwrite(report_css, 1, report_css_size, r->out);
    fputs("</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#repair\">To what is to be "
          "made good first</a>\n",
          r->out);
}

static void put_hazards(const report *r)
{
    char words[SHOWN];
    const bool *asked = r->how->query.hazard;
    if (asked[COAMING_WATER])
        html_words(r->out, level_words(words, r->ship, r->how->query));
    fputs(asked[COAMING_WATER] && asked[COAMING_AIR] ? "; " : "", r->out);
    fputs(asked[COAMING_AIR] ? "bad air by every open way" : "", r->out);
}

static void put_title(const report *r)
{
    char date[COAMING_DATE_TEXT], counted_in[SHOWN];
    const char *unit = coaming_measure_unit(r->how->measure);
    markup_put(r->out,
               "<header>\n<h1><bdi>%s</bdi></h1>\n<p class=\"lead\">State of her closures on <span "
               "class=\"day\">%s</span></p>\n",
               r->ship->name, coaming_date_format(r->ship->as_of, date));
    fputs("<dl class=\"asked\">\n<div><dt>Condition</dt><dd>", r->out);
    markup_put(r->out, "<bdi>%s</bdi>", condition_words(r->ship, r->how->query.condition));
    if (*r->seen)
        markup_put(r->out, "</dd></div>\n<div><dt>" SEEN_TITLE "</dt><dd><bdi>%s</bdi>", r->seen);
    if (r->how->query.loading >= 0)
        markup_put(r->out, "</dd></div>\n<div><dt>Loading</dt><dd><bdi>%s</bdi>",
                   r->ship->loadings[r->how->query.loading].name);
    fputs("</dd></div>\n<div><dt>Hazards</dt><dd>", r->out);
    put_hazards(r);
    markup_put(r->out, "</dd></div>\n<div><dt>Counted in</dt><dd>%s",
               measure_words(counted_in, r->how->measure));
    if (*unit) {
        fputs(", ", r->out);
        html_words(r->out, unit);
    }
    fputs("</dd></div>\n</dl>\n", r->out);
    fputs("<p>What all this rests on stands at its end: <a href=\"#assumptions\">assumptions</a> "
          "and <a href=\"#caution\">caution</a>.</p>\n",
          r->out);
    if (*r->let_in)
        markup_put(r->out, "<p><strong class=\"fail\">%s</strong></p>\n", r->let_in);
    fputs("</header>\n<main>\n", r->out);
}

static void put_foot(const report *r)
{
    coaming_level level = r->how->query.level;
    if (r->of->survival)
        level.kind = COAMING_LEVEL_EQUILIBRIUM;
    markup_put(r->out,
               "<section aria-labelledby=\"caution\">\n<h2 id=\"caution\">Caution</h2>\n"
               "<p class=\"caution\">%s%s%s%s%s</p>\n</section>\n</main>\n<script>",
               coaming_caution_at(level), r->of->flood ? " " : "",
               r->of->flood ? flood_more_caution() : "", r->of->air ? " " : "",
               r->of->air ? air_more_caution() : "");
    fwrite(report_js, 1, report_js_size, r->out);
    fputs("</script>\n</body>\n</html>\n", r->out);
}

static coaming_status write_page(const report *r, coaming_error *error)
{
    put_head(r);
    put_title(r);
    coaming_status status = report_repair(r, error);
    if (status == COAMING_OK)
        status = report_state(r, error);
    if (status == COAMING_OK && r->before->ship)
        status = report_changes(r, error);
    if (status == COAMING_OK)
        status = report_worst(r, error);
    if (status == COAMING_OK)
        status = report_hold(r, error);
    if (status == COAMING_OK)
        status = report_water(r, error);
    if (status == COAMING_OK)
        status = report_air(r, error);
    if (status == COAMING_OK)
        status = report_repair_rest(r, error);
    if (status == COAMING_OK)
        status = report_due(r, error);
    if (status == COAMING_OK)
        status = report_register(r, error);
    if (status == COAMING_OK)
        status = report_survival(r, error);
    if (status != COAMING_OK)
        return status;
    status = report_assumptions(r, error);
    put_foot(r);
    return status;
}

coaming_status coaming_print_report(FILE *out, coaming_report *of, coaming_error *error)
{
    report r = {.out = out,
                .ship = of->ship,
                .how = &of->how,
                .now = &of->now,
                .before = &of->before,
                .of = of};
    r.let_in = let_in_words(of->outset);
    r.seen = seen_words(of->ship);
    coaming_status status = r.let_in && r.seen ? write_page(&r, error) : error_memory(error);
    free(r.let_in);
    free(r.seen);
    return status;
}
