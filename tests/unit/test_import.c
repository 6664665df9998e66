/* Lists to an arrangement, when memory runs out: told at every allocation, and nothing is left
 * over. What lists become is tested from the outside, in tests/cli/test_import.py. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "coaming/coaming.h"
#include "runner.h"

static const char SPACES[] =
    "number,name,use,people,boxes,prisms\n"
    "2-10-0-V,After peak,void,,,\n2-30-0-E,Engine "
    "room,machinery,1,,\n2-50-0-L,Cabin,accommodation,\"2,5\",,\n"
    "2-60-0-A,Store,stores,,12 14/-1 1/1 2; 14 15/-1 1/1 2,\"1 2/16,0 18,0 17,1\"\n";
static const char CLOSURES[] =
    "Door,kind,from,to,rating,shut-in,dogs,Last tested,Method,Result,gaps,fitted,gasket-joints\n"
    "D 1,door,After peak,2-30-0-E,watertight,sea harbour,0.3;0.6,12.5.2026, Chalk,FAILED ,1:0.2 "
    "2:0.1:paint,1.2.2020,0.4;1.2\n"
    "D2,door,Engine room,Cabin,watertight,never,8,1/2/2026,chalk,ok,,,\n"
    "D2,gate,Engine rom,sea,tight,,,,,,,,\n";

static const char PUMPS[] = "id,space,capacity,serves,power\n"
                            "P 1,2-30-0-E,60,Engine room; After peak;nowhere,Cabin\n"
                            "P2,Cabin,0,Cabin,\n";
static const char FANS[] = "id,name,supplies,flow\nF1,Fan,Cabin,0.5\n";

static char spaces_path[] = "/tmp/coaming-import-XXXXXX";
static char closures_path[] = "/tmp/coaming-import-XXXXXX";
static char pumps_path[] = "/tmp/coaming-import-XXXXXX";
static char fans_path[] = "/tmp/coaming-import-XXXXXX";

static void write_list(char *path, const char *text)
{
    FILE *f = fdopen(mkstemp(path), "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
}

static coaming_status everything(void)
{
    static const coaming_import_deck decks[] = {{"2", "low", NULL, 1}, {"1", "main", "Main", 3}};
    static const coaming_import_map maps[] = {{COAMING_LIST_SPACES, "people", "People"}};
    coaming_import_options o = {.spaces = spaces_path,
                                .closures = closures_path,
                                .pumps = pumps_path,
                                .fans = fans_path,
                                .name = "Test",
                                .length = 30,
                                .beam = 5,
                                .depth = 3,
                                .draft = 1,
                                .kg = NAN,
                                .framed = true,
                                .frame_spacing = 0.4,
                                .decks = decks,
                                .deck_count = 2,
                                .maps = maps,
                                .map_count = 1,
                                .latest = 20782,
                                .dates = COAMING_DATES_DMY_POINTS};
    coaming_faults *faults = coaming_faults_new();
    coaming_import *import = NULL;
    coaming_error error;
    if (!faults)
        return COAMING_MEMORY;
    coaming_status status = coaming_import_new(&o, faults, &import, &error);
    if (status == COAMING_OK) {
        const coaming_import_counts *c = coaming_import_get_counts(import);
        ck_assert_uint_eq(c->placed[COAMING_LIST_SPACES], 4);
        ck_assert_uint_eq(c->spoilt[COAMING_LIST_SPACES], 1); /* the cabin: 2,5 people */
        ck_assert_uint_eq(c->derived, 3);
        ck_assert_uint_eq(c->placed[COAMING_LIST_CLOSURES], 2); /* not the gate */
        ck_assert_uint_eq(c->spoilt[COAMING_LIST_CLOSURES], 1); /* D2: no day of its test */
        ck_assert_uint_eq(c->placed[COAMING_LIST_PUMPS], 1);    /* not the one that pumps nothing */
        ck_assert_uint_eq(c->spoilt[COAMING_LIST_PUMPS], 1);    /* of nowhere */
        ck_assert_uint_eq(c->placed[COAMING_LIST_FANS], 1);
        ck_assert(!coaming_import_whole(import));
    } else {
        ck_assert_ptr_null(import);
    }
    coaming_import_free(import);
    coaming_faults_free(faults);
    return status;
}

START_TEST(out_of_memory_is_told_at_every_allocation)
{
    write_list(spaces_path, SPACES);
    write_list(closures_path, CLOSURES);
    write_list(pumps_path, PUMPS);
    write_list(fans_path, FANS);
    memory_fail_at(0);
    ck_assert_int_eq(everything(), COAMING_OK);
    size_t all = memory_asked();
    ck_assert_uint_gt(all, 20);
    for (size_t n = 1; n <= all; n++) {
        memory_fail_at(n);
        coaming_status status = everything();
        memory_fail_at(0);
        ck_assert_msg(status == COAMING_MEMORY, "allocation %zu of %zu: %d", n, all, (int)status);
    }
    remove(spaces_path);
    remove(closures_path);
    remove(pumps_path);
    remove(fans_path);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("import");
    TCase *all = tcase_create("all");
    tcase_add_test(all, out_of_memory_is_told_at_every_allocation);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
