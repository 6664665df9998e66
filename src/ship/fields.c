#include "ship/fields.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#define BOUNDED(what, low, high) .kind = (what), .least = (low), .greatest = (high)
#define PLAIN(what)              BOUNDED(what, -INFINITY, INFINITY)
#define WORDS(list)              .kind = FIELD_WORD, .words = (list)
/* Of a plain field: its attribute, its key and its member. */
#define IN_SPACE(name, json, where)                                                                \
    .attribute = (name), .key = (json), .plain = true, .member = offsetof(ship_space, where)
#define IN_LINK(name, json, where)                                                                 \
    .attribute = (name), .key = (json), .plain = true, .member = offsetof(ship_link, where)
#define IN_PUMP(name, json, where)                                                                 \
    .attribute = (name), .key = (json), .plain = true, .member = offsetof(ship_pump, where)
#define IN_FAN(name, json, where)                                                                  \
    .attribute = (name), .key = (json), .plain = true, .member = offsetof(ship_fan, where)
#define NAME_STAKE "name (its id is taken)"

static const ship_field space_fields[SPACE_COLUMN_COUNT] = {
    [SPACE_ID] = {PLAIN(FIELD_TEXT), .synonyms = {"identifier", "space id", "compartment id"},
                  IN_SPACE("id", "id", id), .required = true},
    [SPACE_NAME] = {PLAIN(FIELD_LABEL), .stake = NAME_STAKE,
                    .synonyms = {"space name", "compartment name"},
                    .common = {"description", "designation"}, IN_SPACE("name", "name", name),
                    .required = true},
    [SPACE_NUMBER] = {PLAIN(FIELD_TEXT), .stake = "number",
                      .synonyms = {"compartment number", "compartment no"},
                      .common = {"space number", "space no"}, IN_SPACE("number", "number", number)},
    [SPACE_DECK] = {PLAIN(FIELD_TEXT), .stake = "deck", .attribute = "deck"},
    [SPACE_USE] = {PLAIN(FIELD_TEXT), .stake = "use", .common = {"used for"},
                   IN_SPACE("use", "use", use)},
    [SPACE_PERMEABILITY] = {BOUNDED(FIELD_NUMBER, 0, 1),
                            .stake = "permeability (that of its use is taken)",
                            IN_SPACE("permeability", "permeability", permeability)},
    [SPACE_SHELL] = {PLAIN(FIELD_YES_NO), .stake = "shell (no is taken)",
                     .common = {"at the shell"}, IN_SPACE("shell", "shell", shell)},
    [SPACE_PEOPLE] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .stake = "people (0 is taken)",
                      .common = {"crew", "persons"}, IN_SPACE("people", "people", people)},
    [SPACE_WORTH] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .stake = "worth (1 is taken)",
                     IN_SPACE("worth", "worth", worth), .absent = 1},
    [SPACE_VITAL] = {PLAIN(FIELD_YES_NO), .stake = "vital (no is taken)",
                     IN_SPACE("vital", "vital", vital)},
    [SPACE_ENCLOSED] = {PLAIN(FIELD_YES_NO), .stake = "enclosed (yes is taken)",
                        .synonyms = {"enclosed space"}, IN_SPACE("enclosed", "enclosed", enclosed)},
    [SPACE_WALKABLE] = {PLAIN(FIELD_YES_NO), .stake = "walkable (no is taken)",
                        IN_SPACE("walkable", "walkable", walkable), .absent = 1},
    [SPACE_X0] = {PLAIN(FIELD_ALONG), .element = "box"},
    [SPACE_X1] = {PLAIN(FIELD_ALONG), .element = "box"},
    [SPACE_Y0] = {PLAIN(FIELD_LENGTH), .element = "box"},
    [SPACE_Y1] = {PLAIN(FIELD_LENGTH), .element = "box"},
    [SPACE_Z0] = {PLAIN(FIELD_LENGTH), .element = "box"},
    [SPACE_Z1] = {PLAIN(FIELD_LENGTH), .element = "box"},
    [SPACE_BOXES] = {PLAIN(FIELD_TEXT), .synonyms = {"box"}, .element = "box"},
    [SPACE_PRISMS] = {PLAIN(FIELD_TEXT), .synonyms = {"prism"}, .element = "prism"},
};

#define CLEAR(name)   .stake = "opening", .element = "clear", .attribute = (name), .required = true
#define GASKET(what)  .stake = "gasket-" what, .element = "gasket", .attribute = (what)
#define TEST          "last test"
#define DROP          "drop of pressure"
#define OF_TEST(name) .element = "test", .attribute = (name)
static const ship_field link_fields[CLOSURE_COLUMN_COUNT] = {
    [LINK_ID] = {PLAIN(FIELD_TEXT), .synonyms = {"identifier", "closure id"},
                 .common = {"closure", "closure no", "door", "door no", "mark", "tag"},
                 IN_LINK("id", "id", id), .required = true},
    [LINK_NAME] = {PLAIN(FIELD_LABEL), .stake = NAME_STAKE, .synonyms = {"closure name"},
                   .common = {"description", "designation"}, IN_LINK("name", "name", name)},
    [LINK_KIND] = {WORDS(closure_kind_words), .common = {"type", "closure type"},
                   .attribute = "kind", .required = true},
    [LINK_FROM] = {PLAIN(FIELD_TEXT), .synonyms = {"from space"},
                   .common = {"leads from", "from compartment"}},
    [LINK_TO] = {PLAIN(FIELD_TEXT), .synonyms = {"to space"},
                 .common = {"leads to", "to compartment"}},
    [LINK_BETWEEN] = {PLAIN(FIELD_TEXT), .attribute = "between", .required = true},
    [LINK_X] = {PLAIN(FIELD_ALONG), CLEAR("x")},
    [LINK_Y] = {PLAIN(FIELD_LENGTH), CLEAR("y")},
    [LINK_Z] = {PLAIN(FIELD_LENGTH), CLEAR("z")},
    [LINK_WIDTH] = {BOUNDED(FIELD_LENGTH, 0, INFINITY), .common = {"clear width"}, CLEAR("width")},
    [LINK_HEIGHT] = {BOUNDED(FIELD_LENGTH, 0, INFINITY), .common = {"clear height"},
                     CLEAR("height")},
    [LINK_LIES] = {WORDS(attitude_words), CLEAR("lies")},
    [LINK_RATING] = {WORDS(rating_words), .common = {"tightness"},
                     IN_LINK("rating", "rating", rating), .required = true},
    [LINK_WORKED_FROM] = {PLAIN(FIELD_TEXT), .stake = "worked-from (both sides are taken)",
                          .synonyms = {"tested from"}, .element = "from", .attribute = "side",
                          .required = true},
    [LINK_SHUT_IN] = {PLAIN(FIELD_TEXT), .stake = "shut-in (never is taken)",
                      .attribute = "shut-in"},
    [LINK_POWER] = {PLAIN(FIELD_TEXT), .stake = "power", .attribute = "power"},
    [LINK_CONTROL] = {PLAIN(FIELD_TEXT), .stake = "control", .attribute = "control"},
    [LINK_HOURS] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .stake = "hours",
                    .common = {"repair hours"}, IN_LINK("hours", "hours", hours), .absent = -1},
    [LINK_LEAK_PROBABILITY] = {BOUNDED(FIELD_NUMBER, 0, 1), .stake = "leak-probability",
                               IN_LINK("leak-probability", "leak_probability", leak_probability),
                               .absent = -1},
    [LINK_COLLAPSE_HEAD] = {BOUNDED(FIELD_LENGTH, 0, INFINITY), .above = true,
                            .stake = "collapse-head",
                            IN_LINK("collapse-head", "collapse_head", collapse_head), .absent = -1},
    [LINK_LEAK_AREA] = {BOUNDED(FIELD_NUMBER, 0, LEAK_AREA_MAX), .stake = "leak-area",
                        IN_LINK("leak-area", "leak_area", leak_area), .absent = -1},
    [LINK_REMOTE] = {PLAIN(FIELD_YES_NO), .stake = "remote (no is taken)",
                     .synonyms = {"remote control"}, IN_LINK("remote", "remote", remote)},
    [LINK_PROTECTED] = {PLAIN(FIELD_YES_NO), .stake = "protected (no is taken)",
                        IN_LINK("protected", "protected", protected)},
    [LINK_FITTED] = {PLAIN(FIELD_DATE), .stake = "fitted", .common = {"date fitted", "fitted on"},
                     IN_LINK("fitted", "fitted", fitted)},
    [LINK_GASKET_FITTED] = {PLAIN(FIELD_DATE), .stake = "gasket-fitted",
                            .common = {"gasket date", "gasket renewed"}, .element = "gasket",
                            IN_LINK("fitted", "gasket_fitted", gasket_fitted)},
    [LINK_GASKET_SECTION] = {PLAIN(FIELD_LABEL), .stake = "gasket-section", .element = "gasket",
                             IN_LINK("section", "gasket_section", gasket_section)},
    [LINK_GASKET_JOINTS] = {PLAIN(FIELD_TEXT), .stake = "gasket-joints", .element = "gasket",
                            .attribute = "joints"},
    [LINK_DOGS] = {PLAIN(FIELD_TEXT), .stake = "dogs", .element = "dogs", .attribute = "count"},
    [LINK_TEST_DATE] = {PLAIN(FIELD_DATE), .stake = TEST, .synonyms = {"last test date"},
                        .common = {"last tested", "tested on", "date tested", "date of test",
                                   "date of last test"},
                        OF_TEST("date"), .required = true},
    [LINK_TEST_METHOD] = {WORDS(method_words), .stake = TEST, .synonyms = {"last test method"},
                          .common = {"method"}, OF_TEST("method"), .required = true},
    [LINK_TEST_RESULT] = {PLAIN(FIELD_RESULT), .stake = TEST, .synonyms = {"last test result"},
                          .common = {"result", "last result"}, OF_TEST("result"), .required = true},
    [LINK_TEST_GAPS] = {PLAIN(FIELD_TEXT), .stake = "test-gaps", .common = {"gaps"},
                        .element = "test"},
    [LINK_TEST_SET] = {BOUNDED(FIELD_LENGTH, 0, MEASURED_MAX), .stake = "test-set", OF_TEST("set")},
    [LINK_TEST_HINGE_PLAY] = {BOUNDED(FIELD_LENGTH, 0, MEASURED_MAX), .stake = "test-hinge-play",
                              OF_TEST("hinge-play")},
    [LINK_TEST_SPACE] = {PLAIN(FIELD_TEXT), .stake = DROP, OF_TEST("space")},
    [LINK_TEST_START] = {BOUNDED(FIELD_NUMBER, 0, PRESSURE_MAX), .above = true, .stake = DROP,
                         OF_TEST("start-pressure")},
    [LINK_TEST_END] = {BOUNDED(FIELD_NUMBER, 0, PRESSURE_MAX), .stake = DROP,
                       OF_TEST("end-pressure")},
    [LINK_TEST_DURATION] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .above = true, .stake = DROP,
                            OF_TEST("duration")},
    [LINK_TEST_VOLUME] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .above = true, .stake = DROP,
                          OF_TEST("volume")},
    [LINK_TEST_BY] = {PLAIN(FIELD_LABEL), .stake = "test-by", .common = {"tested by", "tester"},
                      OF_TEST("by")},
    [LINK_TEST_NOTE] = {PLAIN(FIELD_LABEL), .stake = "test-note", OF_TEST("note")},
};

/* Where passages differ from closures. */
static const ship_field passage_fields[] = {
    [LINK_ID] = {PLAIN(FIELD_TEXT), .synonyms = {"identifier", "passage id"},
                 .common = {"passage", "passage no", "mark", "tag"}, IN_LINK("id", "id", id),
                 .required = true},
    [LINK_NAME] = {PLAIN(FIELD_LABEL), .stake = NAME_STAKE, .synonyms = {"passage name"},
                   .common = {"description", "designation"}, IN_LINK("name", "name", name)},
    [LINK_KIND] = {WORDS(passage_kind_words), .common = {"type"}, .attribute = "kind",
                   .required = true},
};

static const ship_field pump_fields[PUMP_COLUMN_COUNT] = {
    [PUMP_ID] = {PLAIN(FIELD_TEXT), .synonyms = {"identifier", "pump id"},
                 .common = {"pump", "pump no", "mark", "tag"}, IN_PUMP("id", "id", id),
                 .required = true},
    [PUMP_NAME] = {PLAIN(FIELD_LABEL), .stake = NAME_STAKE, .synonyms = {"pump name"},
                   .common = {"description", "designation"}, IN_PUMP("name", "name", name)},
    [PUMP_SPACE] = {PLAIN(FIELD_TEXT), .common = {"compartment", "stands in"}, .attribute = "space",
                    .required = true},
    [PUMP_CAPACITY] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .above = true,
                       .synonyms = {"capacity m3/h", "capacity (m3/h)"},
                       IN_PUMP("capacity", "capacity", capacity), .required = true},
    [PUMP_SERVES] = {PLAIN(FIELD_TEXT), .attribute = "serves", .required = true},
    [PUMP_POWER] = {PLAIN(FIELD_TEXT), .stake = "power", .attribute = "power"},
    [PUMP_CONTROL] = {PLAIN(FIELD_TEXT), .stake = "control", .attribute = "control"},
};

static const ship_field fan_fields[FAN_COLUMN_COUNT] = {
    [FAN_ID] = {PLAIN(FIELD_TEXT), .synonyms = {"identifier", "fan id"},
                .common = {"fan", "fan no", "mark", "tag"}, IN_FAN("id", "id", id),
                .required = true},
    [FAN_NAME] = {PLAIN(FIELD_LABEL), .stake = NAME_STAKE, .synonyms = {"fan name"},
                  .common = {"description", "designation"}, IN_FAN("name", "name", name)},
    [FAN_SUPPLIES] = {PLAIN(FIELD_TEXT), .attribute = "supplies", .required = true},
    [FAN_FLOW] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .above = true,
                  .synonyms = {"flow m3/s", "flow (m3/s)"}, IN_FAN("flow", "flow", flow),
                  .required = true},
    [FAN_PRESSURE] = {BOUNDED(FIELD_NUMBER, 0, AMOUNT_MAX), .above = true, .stake = "pressure",
                      .synonyms = {"pressure pa", "pressure (pa)"},
                      IN_FAN("pressure", "pressure", pressure), .absent = -1},
};

const ship_field *field_of(coaming_list list, int column)
{
    if (list == COAMING_LIST_SPACES)
        return &space_fields[column];
    if (list == COAMING_LIST_PUMPS)
        return &pump_fields[column];
    if (list == COAMING_LIST_FANS)
        return &fan_fields[column];
    if (list == COAMING_LIST_PASSAGES && column <= LINK_KIND)
        return &passage_fields[column];
    return &link_fields[column];
}

int field_count(coaming_list list)
{
    static const int counts[] = {[COAMING_LIST_SPACES] = SPACE_COLUMN_COUNT,
                                 [COAMING_LIST_CLOSURES] = CLOSURE_COLUMN_COUNT,
                                 [COAMING_LIST_PASSAGES] = PASSAGE_COLUMN_COUNT,
                                 [COAMING_LIST_PUMPS] = PUMP_COLUMN_COUNT,
                                 [COAMING_LIST_FANS] = FAN_COLUMN_COUNT};
    return counts[list];
}

const char *field_heading(coaming_list list, int column)
{
    static const char *const *const headings[] = {[COAMING_LIST_SPACES] = space_columns,
                                                  [COAMING_LIST_CLOSURES] = link_columns,
                                                  [COAMING_LIST_PASSAGES] = link_columns,
                                                  [COAMING_LIST_PUMPS] = pump_columns,
                                                  [COAMING_LIST_FANS] = fan_columns};
    return headings[list][column];
}

static const void *at(const ship_field *f, const void *item)
{
    return (const char *)item + f->member;
}

const char *field_text(const ship_field *f, const void *item)
{
    if (f->kind == FIELD_WORD)
        return f->words[*(const unsigned *)at(f, item)];
    return *(const char *const *)at(f, item);
}

double field_number(const ship_field *f, const void *item)
{
    double value = *(const double *)at(f, item);
    return value >= f->least ? value : NAN;
}

bool field_yes(const ship_field *f, const void *item)
{
    return *(const bool *)at(f, item);
}

coaming_date field_date(const ship_field *f, const void *item)
{
    return *(const coaming_date *)at(f, item);
}

void fields_begin(coaming_list list, void *item)
{
    for (int c = 0; c < field_count(list); c++) {
        const ship_field *f = field_of(list, c);
        void *member = (char *)item + f->member;
        if (!f->plain)
            continue;
        if (f->kind == FIELD_NUMBER || f->kind == FIELD_LENGTH)
            *(double *)member = f->absent;
        else if (f->kind == FIELD_YES_NO)
            *(bool *)member = f->absent != 0;
        else if (f->kind == FIELD_DATE)
            *(coaming_date *)member = COAMING_NO_DATE;
    }
}
