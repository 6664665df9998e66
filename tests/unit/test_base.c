/* Dates, numbers, words and the text that may reach a terminal. */
#include <locale.h>
#include <math.h>
#include <string.h>
#include <wchar.h>
#include <wctype.h>

#include "base/cubic.h"
#include "base/memory.h"
#include "base/text.h"
#include "base/width.h"
#include "coaming/date.h"
#include "coaming/error.h"
#include "runner.h"
#include "ships.h"

static coaming_date day(const char *text)
{
    coaming_date d = COAMING_NO_DATE;
    ck_assert_msg(coaming_date_parse(text, &d), "%s", text);
    return d;
}

START_TEST(days_are_counted_from_1970)
{
    ck_assert_int_eq(day("1970-01-01"), 0);
    ck_assert_int_eq(day("1970-01-02"), 1);
    ck_assert_int_eq(day("1969-12-31"), -1);
    /* 86,400 s a day, POSIX.1-2017, XBD 4.16 "Seconds Since the Epoch": 2000-03-01 is 951868800 */
    ck_assert_int_eq(day("2000-03-01"), 951868800 / 86400);
}
END_TEST

START_TEST(leap_years_follow_the_gregorian_rule)
{
    coaming_date d;
    ck_assert(coaming_date_parse("2000-02-29", &d));  /* by 400 */
    ck_assert(!coaming_date_parse("1900-02-29", &d)); /* by 100 */
    ck_assert(coaming_date_parse("2028-02-29", &d));
    ck_assert(!coaming_date_parse("2026-02-29", &d));
    ck_assert_int_eq(day("2028-03-01") - day("2028-02-28"), 2);
    ck_assert_int_eq(day("2026-03-01") - day("2026-02-28"), 1);
    ck_assert_int_eq(day("2400-01-01") - day("2000-01-01"), 146097); /* days of an era */
}
END_TEST

START_TEST(every_day_of_eleven_centuries_reads_back)
{
    char text[COAMING_DATE_TEXT], before[COAMING_DATE_TEXT] = "";
    coaming_date last = day("2999-12-31");
    for (coaming_date d = day("1900-01-01"); d <= last; d++) {
        coaming_date_format(d, text);
        coaming_date back;
        if (!coaming_date_parse(text, &back) || back != d || strcmp(before, text) >= 0)
            ck_abort_msg("day %d is written %s after %s", d, text, before);
        strcpy(before, text);
    }
}
END_TEST

START_TEST(what_is_no_date_is_refused)
{
    static const char *const wrong[] = {"",           "2026-9-30",  "2026-13-01", "2026-00-10",
                                        "2026-04-31", "2026-04-00", "30.09.2026", "2026-09-30Z",
                                        "2026/09/30", "1899-12-31", "3000-01-01", "+026-01-01",
                                        " 2026-01-01"};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        coaming_date d;
        ck_assert_msg(!coaming_date_parse(wrong[i], &d), "%s", wrong[i]);
    }
}
END_TEST

START_TEST(numbers_read_back_as_the_same_double)
{
    dice d = {42};
    char text[NUMBER_TEXT];
    for (int i = 0; i < 200000; i++) {
        union {
            uint64_t bits;
            double value;
        } u = {dice_next(&d)};
        double back;
        if (!isfinite(u.value))
            continue;
        number_format(u.value, text);
        if (number_parse(text, &back) != NUMBER_OK || back != u.value)
            ck_abort_msg("%a is written %s", u.value, text);
    }
}
END_TEST

START_TEST(whole_numbers_are_written_plainly)
{
    char text[NUMBER_TEXT];
    ck_assert_str_eq(number_format(1e15, text), "1000000000000000");
    ck_assert_str_eq(number_format(9007199254740992.0, text), "9007199254740992");
    ck_assert_str_eq(number_format(-0.0, text), "0");
    ck_assert_str_eq(number_format(0.1 + 0.2, text), "0.30000000000000004");
    ck_assert_str_eq(number_format(0.1, text), "0.1");
}
END_TEST

START_TEST(what_is_no_finite_number_is_refused)
{
    static const char *const wrong[] = {"",    " ",     "NaN", "nan", "INF", "inf",    "0x10",
                                        "1,5", "1.2.3", "1e",  "--1", "1 2", "twelve", "1m"};
    double v;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        ck_assert_msg(number_parse(wrong[i], &v) == NUMBER_BAD, "%s", wrong[i]);
    ck_assert_int_eq(number_parse("1e999", &v), NUMBER_INFINITE);
    ck_assert_int_eq(number_parse("-1e999", &v), NUMBER_INFINITE);
    ck_assert_int_eq(number_parse(" 1.5\n", &v), NUMBER_OK);
}
END_TEST

static const char *nth(const void *list, size_t i)
{
    return ((const char *const *)list)[i];
}

START_TEST(the_nearest_word_is_found_or_none)
{
    static const char *const words[] = {"engine", "shaft", "lab-wet", "D1", "D12"};
    ck_assert_str_eq(text_nearest("engin", nth, words, 5), "engine");
    ck_assert_str_eq(text_nearest("SHAFT", nth, words, 5), "shaft");
    ck_assert_str_eq(text_nearest("D13", nth, words, 5), "D1");
    ck_assert_ptr_null(text_nearest("quarterdeck", nth, words, 5));
    ck_assert_ptr_null(text_nearest("engine", nth, words, 0));
}
END_TEST

START_TEST(text_for_a_terminal_is_cut_and_harmless)
{
    char out[64];
    text_fit(out, sizeof out, "plain", 10);
    ck_assert_str_eq(out, "plain");
    text_fit(out, sizeof out, "engine room", 6);
    ck_assert_str_eq(out, "engin~");
    text_fit(out, sizeof out,
             "\xc2\x9b"
             "31m",
             12); /* C1 control sequence introducer */
    ck_assert_str_eq(out, "<U+009B>31m");
    text_fit(out, sizeof out,
             "a\xe2\x80\xae"
             "b\nc",
             20); /* right-to-left override, newline */
    ck_assert_str_eq(out, "a<U+202E>b<U+000A>c");
    text_fit(out, sizeof out, "ab\xe2\x80\xae", 9); /* no number is cut in two */
    ck_assert_str_eq(out, "ab~");
    text_fit(out, sizeof out, "\xc0\xaf\xff", 20); /* overlong, and no UTF-8 at all */
    ck_assert_str_eq(out, "<0xC0><0xAF><0xFF>");
    text_fit(out, sizeof out, "\xc3\x86\xc3\xb8", 10);
    ck_assert_str_eq(out, "\xc3\x86\xc3\xb8");
    ck_assert_uint_eq(text_width("\xc3\x86\xc3\xb8"), 2);
    text_fit(out, sizeof out, "\xe6\xb0\xb4\xe5\xaf\x86\xe6\x88\xb8", 5); /* three wide signs */
    ck_assert_str_eq(out, "\xe6\xb0\xb4\xe5\xaf\x86~");
    ck_assert_uint_eq(text_width("e\xcc\x81"), 1); /* with an accent that joins it */
    ck_assert_uint_eq(text_head("\xe6\xb0\xb4\xe5\xaf\x86", 3), 3);
    text_fit(out, 4, "\xf0\x9f\x9a\xa2\xf0\x9f\x9a\xa2", 10); /* no room for a whole sign */
    ck_assert(text_is_utf8(out));
}
END_TEST

static size_t encode(uint32_t point, char out[5])
{
    static const unsigned char lead[] = {0, 0, 0xc0, 0xe0, 0xf0};
    size_t size = point < 0x80 ? 1 : point < 0x800 ? 2 : point < 0x10000 ? 3 : 4;
    for (size_t i = size; i-- > 0; point >>= 6)
        out[i] = (char)(i ? 0x80 | (point & 0x3f) : lead[size] | point);
    out[size] = '\0';
    return size;
}

/* Every code point there is: its own bytes and no others, a number where a terminal or a reader
 * would be deceived, and whatever is kept is taken back. */
START_TEST(every_sign_is_shown_and_taken_back)
{
    size_t numbers = 0;
    for (uint32_t point = 1; point <= 0x10ffff; point++) {
        char text[5], shown[TEXT_SHOWN], kept[TEXT_SHOWN];
        uint32_t read;
        size_t size = encode(point, text);
        bool surrogate = point >= 0xd800 && point < 0xe000;
        CLAIM(text_point(text, &read) == (surrogate ? 1 : size), "%#x", point);
        CLAIM(read == (surrogate ? 0xfffd : point), "%#x", point);
        CLAIM(text_shown(text, shown) == (surrogate ? 1 : size), "%#x", point);
        CLAIM(!strcmp(shown, text) == text_is_plain(text), "%#x: %s", point, shown);
        CLAIM(text_is_plain(text) || surrogate || text_width(text) == strlen(shown), "%#x", point);
        text_kept(text, kept);
        CLAIM(!strcmp(kept, shown), "%#x: %s", point, kept);
        text_unshown(kept);
        CLAIM(!strcmp(kept, surrogate ? shown : text), "%#x: %s", point, kept);
        numbers += *shown == '<';
    }
    ck_assert_uint_gt(numbers, 4000);
}
END_TEST

/* Texts that look like numbers of signs are not taken for them. */
START_TEST(what_looks_like_a_number_stays)
{
    static const char *const texts[] = {
        "<U+202E>", "<U+003C>",    "<U+003C>U+202E>", "<<U+200B>>", "<U+202e>",
        "<U+0041>", "<U+>",        "<U+0202E>",       "<U+202E",    "<U+110000>",
        "<U+0000>", "a<U+E0041>b", "<U+FFFFF>",       "<U+FFFD>",   "<"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        char whole[256] = "", one[TEXT_SHOWN];
        for (const char *at = texts[i]; *at;) {
            at += text_kept(at, one);
            strcat(whole, one);
        }
        text_unshown(whole);
        ck_assert_str_eq(whole, texts[i]);
    }
}
END_TEST

/* Against the C library's own table: with glibc 2.36 none differs. A library with a later Unicode
 * knows signs that ours does not: some hundred a year. */
START_TEST(signs_take_the_columns_that_the_c_library_says)
{
    size_t compared = 0, differ = 0;
    ck_assert_ptr_nonnull(setlocale(LC_CTYPE, "C.UTF-8"));
    for (uint32_t point = 0x20; point < 0x30000; point++) {
        int width = iswprint((wint_t)point) ? wcwidth((wchar_t)point) : -1;
        if (width < 0)
            continue;
        compared++;
        differ += point_width(point) != width;
    }
    setlocale(LC_CTYPE, "C");
    ck_assert_uint_gt(compared, 100000);
    ck_assert_uint_le(differ, 300);
}
END_TEST

START_TEST(utf8_is_told_from_bytes)
{
    ck_assert(text_is_utf8("plain"));
    ck_assert(text_is_utf8("\xc3\xb8 \xe2\x82\xac \xf0\x9f\x9a\xa2 \xef\xbf\xbd"));
    ck_assert(!text_is_utf8("\xff\xfe"));
    ck_assert(!text_is_utf8("\xc0\xaf"));         /* overlong */
    ck_assert(!text_is_utf8("\xed\xa0\x80"));     /* surrogate */
    ck_assert(!text_is_utf8("\xe2\x82"));         /* cut off */
    ck_assert(!text_is_utf8("\xf4\x90\x80\x80")); /* beyond U+10FFFF */
}
END_TEST

START_TEST(arena_pieces_are_zeroed_aligned_and_apart)
{
    arena a = {NULL};
    unsigned char *before = NULL;
    for (size_t n = 1; n < 3000; n += 7) {
        unsigned char *p = arena_new(&a, n, 1);
        ck_assert_ptr_nonnull(p);
        ck_assert_uint_eq((uintptr_t)p % sizeof(max_align_t) % 16, 0);
        for (size_t i = 0; i < n; i++)
            ck_assert_uint_eq(p[i], 0);
        memset(p, 0xaa, n);
        if (before)
            ck_assert_uint_eq(*before, 0xaa);
        before = p;
    }
    ck_assert_ptr_null(arena_new(&a, SIZE_MAX / 2, 8));
    arena_free(&a);
    ck_assert_ptr_null(a.blocks);
}
END_TEST

START_TEST(a_cubic_is_told_by_two_values_and_two_rates)
{
    /* 2 - x + 3 x^2 + 0.5 x^3 between 1 and 3, and beyond */
    cubic c = cubic_make(4.5, -1 + 6 + 1.5, 39.5, -1 + 18 + 13.5, 2);
    for (double x = 0; x < 5; x += 0.25) {
        ck_assert_double_eq_tol(cubic_at(&c, (x - 1) / 2), 2 - x + 3 * x * x + x * x * x / 2,
                                1e-12);
        ck_assert_double_eq_tol(cubic_rate(&c, (x - 1) / 2), 2 * (-1 + 6 * x + 1.5 * x * x), 1e-12);
    }
}
END_TEST

START_TEST(every_status_has_a_meaning_and_an_exit)
{
    for (coaming_status s = COAMING_OK; s <= COAMING_INTERNAL; s++) {
        int exit_status = coaming_status_exit(s);
        ck_assert(*coaming_status_meaning(s));
        ck_assert(s == COAMING_OK ? exit_status == 0 : exit_status >= 2 && exit_status <= 4);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("base");
    TCase *all = tcase_create("all");
    tcase_add_test(all, days_are_counted_from_1970);
    tcase_add_test(all, leap_years_follow_the_gregorian_rule);
    tcase_add_test(all, every_day_of_eleven_centuries_reads_back);
    tcase_add_test(all, what_is_no_date_is_refused);
    tcase_add_test(all, numbers_read_back_as_the_same_double);
    tcase_add_test(all, whole_numbers_are_written_plainly);
    tcase_add_test(all, what_is_no_finite_number_is_refused);
    tcase_add_test(all, the_nearest_word_is_found_or_none);
    tcase_add_test(all, text_for_a_terminal_is_cut_and_harmless);
    tcase_add_test(all, every_sign_is_shown_and_taken_back);
    tcase_add_test(all, what_looks_like_a_number_stays);
    tcase_add_test(all, signs_take_the_columns_that_the_c_library_says);
    tcase_add_test(all, utf8_is_told_from_bytes);
    tcase_add_test(all, arena_pieces_are_zeroed_aligned_and_apart);
    tcase_add_test(all, a_cubic_is_told_by_two_values_and_two_rates);
    tcase_add_test(all, every_status_has_a_meaning_and_an_exit);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
