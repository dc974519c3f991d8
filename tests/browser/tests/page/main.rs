//! The page as people get it: one file, opened from a folder, in three engines. What people do with it, each thing found
//! as people find it: by its role, its name, its label.

mod accessibility;
mod bad_input;
mod bench;
mod card;
mod content_policy;
mod dark_mode;
mod documents;
mod embedding;
mod entered_and_typical;
mod files;
mod first_screen;
mod history;
mod keyboard;
mod landing;
mod numbers;
mod opening;
mod plots;
mod print;
mod remedies_and_cards;
mod served;
mod sharing;
mod stations;
mod tuning;

browser::tests! {
    content_policy {
        opens_from_a_folder_of_its_own,
        only_its_own_scripts_run,
        only_its_own_styles_apply,
        requests_are_refused,
        requests_would_be_noticed,
        an_old_browser_is_told_what_it_lacks,
    }
    opening {
        the_first_opening_shows_the_turntable,
        the_station_with_the_cause_is_open,
        the_link_follows_what_is_typed,
        a_reload_loses_nothing,
        every_example_opens,
        no_stream_keeps_the_program_back,
        what_can_be_read_at_once_stays,
        nothing_is_shown_that_goes_again,
    }
    first_screen {
        a_listing_is_typed_as_it_stands,
        a_bare_number_takes_the_unit_of_its_field,
        the_sentence_asks_for_what_the_kind_of_axis_has,
        what_is_asked_in_degrees_is_answered_in_degrees,
        spellings_of_people_are_read,
        blanks_of_a_new_design_are_blank,
        the_verdict_says_the_cause_and_what_to_do,
        every_station_stands_in_the_margin_in_sight,
        the_foot_waits_until_the_verdict_is_gone,
        a_phone_shows_the_verdict_first,
        typing_moves_no_blank,
    }
    stations {
        a_field_shows_its_help_while_it_has_the_keyboard,
        few_figures_stand_large_and_the_others_are_folded,
        checks_say_what_is_reached_and_allowed,
        what_is_not_there_is_said_in_one_sentence,
        a_plot_is_drawn_anew_when_the_window_changes,
        the_verdict_stacks_its_error_and_compares_in_columns,
        the_cause_opens_further_up_and_the_field_in_hand_stays,
        escape_gives_the_old_value_back,
        undo_says_what_it_undid,
        letters_have_five_sizes,
    }
    numbers {
        three_pole_pairs_behind_380_to_1_give_4560_counts,
        two_or_four_pole_pairs_give_no_direction,
        a_kilogram_force_at_a_centimetre_is_what_it_always_was,
        numbers_are_taken_as_people_type_them,
    }
    entered_and_typical {
        an_emptied_field_shows_its_typical_value,
        a_button_takes_the_typical_value,
        what_a_check_says_follows_in_its_place,
        a_kind_of_axis_shows_its_own_fields,
        the_rest_opens,
        a_choice_field_takes_its_words,
    }
    sharing {
        another_motor_changes_what_rests_on_it_and_says_why,
        a_copied_link_shows_somebody_else_the_same,
        entries_leave_what_a_fresh_opening_shows,
        a_link_leaves_ones_own_card_alone,
        a_link_can_be_kept_as_ones_own,
        a_link_pasted_into_the_address_is_opened,
        an_escaped_link_pasted_into_the_address_is_opened,
        a_link_pasted_while_the_card_is_kept_is_opened,
    }
    files {
        what_is_saved_is_what_the_card_says,
        a_saved_card_opens_again,
        a_file_is_dropped_on_the_page,
        a_file_leaves_ones_own_card_alone,
        a_file_that_is_none_is_refused_and_nothing_changes,
        what_a_file_holds_and_nobody_knows_is_listed_and_kept,
        a_published_page_prints_its_link_as_a_code,
        a_packed_link_opens,
    }
    embedding {
        numbers_in_a_text_are_the_computed_ones,
        what_cannot_be_computed_leaves_the_text,
        a_card_and_a_station_stand_in_a_page,
        the_page_around_sets_mark_and_type,
        scripts_of_the_page_get_the_report,
        an_id_means_the_block_above,
        a_page_changed_in_place_keeps_its_design,
        a_changed_block_is_followed,
        words_settings_figures_and_plots_stand_in_a_page,
        a_card_in_a_frame_says_how_tall_it_is,
        a_frame_keeps_nothing_and_leads_nowhere,
        the_guide_works_as_it_is_written,
    }
    bad_input {
        each_refusal_names_field_limit_and_reason,
        a_message_waits_until_the_value_is_finished,
        a_refused_field_makes_old_results_go,
        a_notice_leads_to_the_refused_field,
        what_nobody_would_enter_shows_no_nonsense,
        a_damaged_link_opens_as_far_as_it_goes,
        a_link_is_never_markup,
        an_overlong_link_is_read_up_to_its_limit,
        an_unknown_id_is_listed_and_kept,
        an_id_twice_counts_once,
        a_newer_link_is_told_from_a_broken_one,
    }
    history {
        undo_and_redo_walk_through_what_was_done,
        another_example_is_one_step,
        start_mine_keeps_nothing_of_the_example,
        ones_own_card_waits_behind_an_example,
        another_gearbox_is_fitted_to_the_same_motor,
        back_leads_through_stations_and_designs,
        storage_that_is_full_is_told_with_the_way_out,
    }
    history in Chromium {
        another_tab_is_heard_and_nothing_is_overwritten,
    }
    remedies_and_cards {
        a_sentence_is_filled_in_down_to_the_verdict,
        a_remedy_is_tried_and_taken_back,
        what_a_simulated_move_shows_is_cured_too,
        every_remedy_of_a_check_stands_in_its_station,
        a_working_says_where_the_result_likely_lies,
        units_and_mark_are_chosen_for_the_whole_card,
        units_are_kept,
        two_cards_stand_side_by_side,
        a_card_just_begun_is_not_taken_for_an_empty_one,
        a_card_of_an_older_page_is_still_there,
    }
    keyboard {
        a_value_is_entered_without_a_mouse,
        on_a_slow_machine_the_letter_comes_first,
        a_station_opens_with_enter,
        the_first_stop_skips_to_the_card,
        what_has_the_keyboard_can_be_seen,
        a_change_of_the_verdict_is_spoken_once,
    }
    accessibility {
        every_field_has_a_name_and_a_description,
        every_button_has_a_name,
        headings_stand_in_order,
        nothing_scrolls_sideways_on_a_phone,
        text_stands_out_from_the_paper,
        the_window_is_as_large_as_asked,
    }
    landing {
        the_turntable_says_why_it_lands_off_and_one_side_cures_it,
        figures_of_another_design_do_not_stay,
        without_a_worker_the_page_simulates_by_itself,
        a_worker_that_nobody_asks_may_break,
        typing_waits_for_no_simulation,
        a_slider_takes_the_landing_with_it,
        a_slider_goes_by_keys,
        nothing_passes_before_its_landing_is_known,
    }
    tuning {
        settings_are_found_entered_and_taken_back,
        what_was_found_goes_with_its_design,
        without_a_worker_the_page_seeks_by_itself,
    }
    documents in Chromium {
        a_bare_page,
        a_book_of_mdbook,
        a_manual_of_sphinx,
        a_manual_of_sphinx_with_myst,
        a_site_of_mkdocs,
        a_site_of_material_for_mkdocs,
        a_site_of_jekyll,
        pages_of_kramdown,
    }
    served in Chromium {
        the_served_page_stays_when_the_server_is_gone,
        a_version_is_kept_whole_or_not_at_all,
    }
    dark_mode in Chromium {
        text_stands_out_on_dark_paper_too,
        no_rule_of_accessibility_is_broken,
        no_rule_of_accessibility_is_broken_in_the_dark,
        no_rule_of_accessibility_is_broken_on_a_phone,
        no_rule_of_accessibility_is_broken_in_forced_colours,
    }
    bench {
        a_reading_flows_back_and_undo_takes_it_away,
        what_is_worked_out_later_moves_no_button,
        a_reading_outside_its_limits_says_what_it_means,
        counted_edges_give_tooth_fractions,
        the_order_is_kept,
        a_sign_leads_to_its_station,
        a_word_leads_to_its_meaning,
    }
    plots {
        every_plot_has_a_name_and_a_table,
        a_plot_is_read_by_keyboard,
        a_plot_is_read_by_pointer,
        a_plot_follows_its_design,
        letters_stay_in_their_drawings,
        a_drawing_lights_up_with_its_field,
    }
    plots in Chromium {
        plots_are_printed,
    }
    print in Chromium {
        the_printed_card_has_every_station,
        the_build_sheet_fits_both_papers,
    }
}
